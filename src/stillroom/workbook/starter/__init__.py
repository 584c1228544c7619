"""How a starting workbook is laid out, filled and made to look: one module an idea."""
