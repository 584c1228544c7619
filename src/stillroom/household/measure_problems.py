"""What can be wrong with a number, an amount or a unit that was typed, as data, and its sentences."""

from __future__ import annotations

from stillroom.errors import StillroomError

TEXTS: dict[str, tuple[str, str]] = {
    "not a number": ('{in_field}"{0}" is not a number', "type a number such as {1}"),
    "division by zero": ('{in_field}"{0}" divides by zero', "type a number such as {1}"),
    "number too large": ('{in_field}"{0}" is too large', "type a smaller number"),
    "comma of two meanings": ('{in_field}"{0}" may be {1} or {2}', "type it without a comma"),
    "comma in number": ('{in_field}"{0}" has a comma in it', "type {1} if you mean that"),
    "unreadable amount": ('{in_field}"{0}" is not an amount', "type one number and a unit, such as {1}"),
    "amount without unit": ('{in_field}"{0}" has no unit', "type it with a unit, such as {1}"),
    "unknown unit": ('{in_field}no unit is called "{0}"', "type a unit such as {1}"),
    "unit of two sizes": ('{in_field}"{0}" is {1} in the US and {2} elsewhere', "type US {3} or imperial {3}"),
    "no bushel weight": (
        "{in_field}a {0} of this crop has no weight",
        "fill in Bushel weighs, or type a weight such as {1}",
    ),
    "no weight of a unit": ("{in_field}a {0} of this crop has no weight", "type a weight such as {1}"),
    "not a weight": ("{in_field}{0} is not a weight", "type a weight such as {1}"),
    "not a volume": ("{in_field}{0} is not a volume", "type a volume such as {1}"),
    "wrong measure": ("{in_field}{0} is not a {1}", "type a {1} such as {2}"),
    "unit not used here": ("{in_field}{0} cannot be used here", "type it in {1}, such as {2}"),
    "unreadable date": ('{in_field}"{0}" is not a date', "type a date such as {1}"),
    "date of two meanings": ('{in_field}"{0}" may be {1}', "type the day you mean as {1}"),
    "number not a date": (
        "{in_field}{0} is a number, not a date",
        "format the cell as a date, or type one such as {1}",
    ),
    "year out of range": ("{in_field}the year of {0} cannot be right", "type a date from {1} to {2}"),
    "unreadable time": ('{in_field}"{0}" is not a time of day', "type a time such as {1}"),
}
"""For each kind: what is wrong and what to do. The last fill-in is an example in the unit of the field."""


class MeasureWrong(StillroomError):
    """An amount, a unit, a date or a time that cannot be used, as data; `example` is what could be typed instead."""

    def __init__(self, kind: str, *names: str, example: str = "", suggestion: str = "") -> None:
        """Keep the kind, the fill-ins of its sentences before the example, and the "did you mean"."""
        self.kind, self.names, self.example, self.suggestion = kind, names, example, suggestion
        super().__init__(f"{self.what}; {self.fix}")

    @property
    def what(self) -> str:
        """What is wrong, for a command line."""
        return TEXTS[self.kind][0].format(*self.names, self.example, in_field="")

    @property
    def fix(self) -> str:
        """What to do, for a command line."""
        if self.suggestion:
            return f"did you mean {self.suggestion}?"
        return TEXTS[self.kind][1].format(*self.names, self.example)
