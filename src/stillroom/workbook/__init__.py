"""The spreadsheet: read the tables of a workbook, write a plan into it, leave everything else alone."""
