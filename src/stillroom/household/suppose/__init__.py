"""Changes to a household in plain words: `quart jars +24`, `hands Sat 0`; no solver and no workbook are known here."""

from stillroom.household.suppose.cases import Case, cases_from
from stillroom.household.suppose.forms import FORMS, help_page
from stillroom.household.suppose.reading import ALL_OF_THEM, ChangeWrong, changed

__all__ = ["ALL_OF_THEM", "FORMS", "Case", "ChangeWrong", "cases_from", "changed", "help_page"]
