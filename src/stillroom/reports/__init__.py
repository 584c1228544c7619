"""What people read: text, tables, paper and pictures; knows no spreadsheet and no solver."""
