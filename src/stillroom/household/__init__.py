"""What a household has and wants, and what a plan is: no solver, no spreadsheet, no data frames."""
