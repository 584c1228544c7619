"""Write a plan, a record row or a comparison into a workbook."""
