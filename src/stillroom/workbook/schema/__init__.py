"""The tables and columns of a workbook, as one file describes them."""
