"""Changes to a household in plain words: `quart jars +24`, `hands Sat 0`; no solver and no workbook are known here."""

from stillroom.household.suppose.grammar import ALL_OF_THEM, FORMS, Case, ChangeWrong, cases_from, changed, help_page

__all__ = ["ALL_OF_THEM", "FORMS", "Case", "ChangeWrong", "cases_from", "changed", "help_page"]
