"""Reading a household out of the tables of a workbook: one module for each kind of thing that is read."""
