"""The colours of a printed page: the ink, paper and green of the workbook; each prints as a grey of its own."""

from __future__ import annotations

PAPER = "FCF9F1"
INK = "33312B"
GREEN = "4C6848"
PALE_GREEN = "EDF2E7"
LINE = "B9B09B"
QUIET = "5F584C"
