"""The kitchen page: one household's workbook in the browser of this machine, and of the tablet in the same network."""
