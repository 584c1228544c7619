"""The sentences of the problems of a workbook and a household, by kind: what is wrong, and what to do."""

TEXTS: dict[str, tuple[str, str]] = {
    # the file
    "no such file": ("no file {0}", "check the name and the folder"),
    "a folder": ("{0} is a folder, not a workbook", "type the name of the workbook in it"),
    "file not readable": ("{0} cannot be read ({1})", "check that you may open it"),
    "empty file": ("the file is empty", "use a workbook saved as .xlsx"),
    "not a workbook": ("not an Excel (.xlsx) workbook", "open it in your spreadsheet program and save it as .xlsx"),
    "locked or old workbook": (
        "the workbook is locked with a password, or is an old .xls workbook",
        "take the password off, or save it as .xlsx from your spreadsheet program",
    ),
    "locked with a password": ("the workbook is locked with a password", "take the password off and save it again"),
    "OpenDocument file": (
        "an OpenDocument file, not an Excel (.xlsx) workbook",
        "save it as .xlsx from your spreadsheet program",
    ),
    "binary workbook": ("a binary workbook (.xlsb)", "save it as .xlsx from your spreadsheet program"),
    "strict workbook": ("the workbook is saved as Strict Open XML", "save it as an ordinary .xlsx workbook"),
    "shared workbook": (
        "the workbook is shared with tracked changes, the old way",
        "stop sharing it and save it again",
    ),
    "signed workbook": (
        "the workbook has a digital signature, which any change would break",
        "save a copy without the signature",
    ),
    "signed macros": (
        "the macros of the workbook are signed, and any change would break the signature",
        "save a copy without the signature",
    ),
    "another zip file": ("a zip file, but not a workbook", "use a workbook saved as .xlsx"),
    "another document": ("a document of another kind, not a workbook", "use a workbook saved as .xlsx"),
    "file cut short": (
        "the file is cut short, or is not a workbook",
        "open it in your spreadsheet program and save it again as .xlsx, or use a backup",
    ),
    "file too large": ("the file is larger than {0} MB", "use a smaller workbook"),
    "file would be too large": ("the file would become larger than 4 GB", "use a smaller workbook"),
    "unpacks too large": ("the workbook unpacks to {0} MB, and the limit is {1} MB", "use a smaller workbook"),
    "too many parts": ("the workbook has {0} parts, and the limit is {1}", "use a smaller workbook"),
    "damaged workbook": (
        "the workbook is damaged ({0})",
        "open it in your spreadsheet program and save it again as .xlsx",
    ),
    "zip directory damaged": (
        "the workbook is damaged (its list of parts)",
        "open it in your spreadsheet program and save it again as .xlsx",
    ),
    "zip in pieces": ("this is one piece of a zip file in several pieces", "use the whole workbook"),
    "parts overlap": (
        "the workbook is damaged (two of its parts overlap)",
        "open it in your spreadsheet program and save it again as .xlsx",
    ),
    "part name unreadable": (
        "the workbook has a part whose name cannot be read",
        "open it in your spreadsheet program and save it again as .xlsx",
    ),
    "part damaged": (
        "the workbook is damaged (its part {0})",
        "open it in your spreadsheet program and save it again as .xlsx",
    ),
    "part size wrong": (
        "the workbook is damaged (the size of its part {0} is wrong)",
        "open it in your spreadsheet program and save it again as .xlsx",
    ),
    "part checksum wrong": (
        "the workbook is damaged (the checksum of its part {0} is wrong)",
        "open it in your spreadsheet program and save it again as .xlsx",
    ),
    "part named otherwise": (
        "the workbook is damaged (its part {0} has another name in the directory)",
        "open it in your spreadsheet program and save it again as .xlsx",
    ),
    "part unpacks too large": ("the part {0} unpacks to {1} times its size", "do not use this file"),
    "part missing": (
        "the workbook is damaged (its part {0} is missing)",
        "open it in your spreadsheet program and save it again as .xlsx",
    ),
    "part empty": (
        "the workbook is damaged (its part {0} is empty)",
        "open it in your spreadsheet program and save it again as .xlsx",
    ),
    "part packed oddly": (
        "the part {0} is packed in a way no spreadsheet program uses",
        "open it in your spreadsheet program and save it again as .xlsx",
    ),
    "part outside": ("the workbook has a part whose name leads out of it ({0})", "do not use this file"),
    "part twice": (
        "the workbook has two parts named {0}",
        "open it in your spreadsheet program and save it again as .xlsx",
    ),
    "part not in UTF-8": (
        "the part {0} is not written in UTF-8",
        "open it in your spreadsheet program and save it again as .xlsx",
    ),
    "document type declared": (
        "the part {0} declares a document type, which no spreadsheet program writes",
        "do not use this file",
    ),
    "no sheets": ("the workbook has no sheets", "use another workbook"),
    "no such sheet": ("no sheet is called {0}", "check the name of the sheet"),
    "no rows of cells": ("this sheet has no rows of cells", "move the table to an ordinary sheet"),
    # what cannot be read
    "table missing": ("the workbook has no table {0}", "run stillroom adopt to add it"),
    "former table name": ('no table is called "{0}" anymore', "did you mean {suggestion}? Rename the table to {1}"),
    "required table renamed": ("the table {1} has the headings of {0}, but another name", "rename it to {2}"),
    "table twice": ("two tables are called {0} ({1})", "rename all but one"),
    "headings twice": (
        "the headings of {0} are in more than one place ({1})",
        "delete one, or format the right one as a table named {2}",
    ),
    "column missing": ("the table {0} has no column {field}", "add a column with that heading"),
    "column misspelt": (
        'the table {0} has no column {suggestion}, but one headed "{1}"',
        "did you mean {suggestion}? Rename the heading",
    ),
    "column twice": ("the table {0} has two columns headed {field}", "rename one of them"),
    "too many rows": (
        "the table {0} has {1} rows, and the limit is {2}",
        "move rows you no longer need to another sheet",
    ),
    "merged cells": ("the cells {0} are merged", "unmerge them: one cell for each entry"),
    "kitchen empty": ("the table Kitchen is empty", "fill in at least the altitude, such as 1450 ft"),
    "unknown setting": ('no setting is called "{0}"', "correct it, or move it out of the table"),
    "same setting twice": ("the setting {0} is there twice", "delete one of the rows"),
    "blank required": ("{field} is blank", "type it, such as {0}, or clear the whole row"),
    "blank text": ("{field} is blank", "fill it in, or clear the whole row"),
    "blank choice": ("{field} is blank", "choose {0}, or clear the whole row"),
    "blank name": ("{field} is blank", "type a name from {0}, or clear the whole row"),
    "unit of length blank": ("{field} has no unit", "type ft or m under Unit"),
    "amount moved blank": ("{field} is blank", "type how much was moved, such as {0}"),
    "record row without a name": ("Preserve and Crop are both blank", "type what you made, or which crop you used"),
    "which crop": ("Crop is blank, and {0} does not use just one crop", "type which crop you used"),
    "formula never calculated": (
        "the formula in {field} has no saved result",
        "open the workbook in your spreadsheet program, let it calculate, and save it",
    ),
    "error value": ("{field} shows {0}", "fix the formula, or type the value"),
    "unreadable text": ("{field} has a character that is not text (code {0})", "type the cell again"),
    "not of few numbers": ('{field} cannot be "{0}"', "type a whole number from {1} to {2}{3}"),
    "out of range": ("{field} cannot be {0}", "type a number from {1} to {2}"),
    "not above zero": ("{field} cannot be {0}", "type a number above 0"),
    "below the least": ("{field} cannot be {0}", "type {1} or more"),
    "not whole": ("{field} cannot be {0}", "type a whole number"),
    "not yes or no": ('{field} must be yes or no, not "{0}"', "type yes or no"),
    "unreadable choice": ('{field} cannot be "{0}"', "choose {1}"),
    "unreadable can buy": ('{field} cannot be "{0}"', "type yes, no, or the most you can buy, such as 24"),
    "unknown name": ('no {1} is called "{0}"', "correct the name, or add it to {2}"),
    "unknown method": ('no method is called "{0}"', "type {1}"),
    "same name twice": ("{0} is twice in {1}", "rename one, or combine both in one row"),
    "name of two things": ("{0} is the name of a {1} and of a {2} ({3})", "rename one of them"),
    "ingredient twice": ("{0} is twice among the ingredients of {1}", "combine both amounts in one row"),
    "preserve counted twice": ("{0} is twice under the target {1}", "combine both in one row"),
    "unknown hours row": (
        'Hours cannot have a row called "{0}"',
        "type hands, stove free, oven or a piece of equipment",
    ),
    "stove row": (
        'no row of Hours is called "{0}"',
        "did you mean {suggestion}? Type the hours the stove is free, not burner-hours",
    ),
    "hours row twice": ("{0} is twice in Hours", "delete one of the rows"),
    "hands counted twice": (
        "Hours has a row for hands and other rows for the hands of single people",
        "delete one or the others",
    ),
    "stove free too long": (
        "the stove cannot be free {0} hours ({field})",
        "type the hours the stove is free, at most {1}, not burner-hours",
    ),
    "conflicting rows": ("{field} of {0} differs from an earlier row", "type it in one row only"),
    "wrong unit of an ingredient": (
        "the pantry counts {0} in {1}, but {field} is in {2}",
        "type the amount in {1}, or change the unit in Pantry",
    ),
    "unit of an acid": ("{0} is an acid, and {field} is in {1}", "type it in {2}"),
    "preserve not counted": ("{0} is counted in containers, but {field} is in {1}", "type how many containers"),
    "size neither volume nor weight": ("{0} is neither a volume nor a weight", "type what it holds, such as {1}"),
    "unit of a pantry item": ("the pantry cannot count in {0}", "type a unit such as {1}"),
    "two units": ("{field} is in {0}, but Unit is {1}", "use one of them"),
    "wrong unit of a price": (
        "{field} is {0}, but the pantry counts it in {1}",
        "type what the price is for, in a unit of the same kind",
    ),
    "bought in another unit": ("{0} was bought in {1}, but the pantry counts it in {2}", "type how much it was in {2}"),
    "crop of another row": ("{field} is {0}, but the row is {1}", "correct one of the two"),
    "frozen before picked": ("{field} {0} is before Picked on {1}", "correct one of the two"),
    "expected and frozen": ("an expected lot cannot be frozen already", "type weighed, or clear Frozen on"),
    "best by before made": ("{field} {0} is before Made on {1}", "correct one of the two"),
    "least above most": ("{field} is more than {0}", "correct one of the two"),
    "most below amount": ("{field} is less than Amount", "correct one of the two"),
    "days of a line": ("{field} cannot be {0}", "type 1, or 7 for a week"),
    "line not counted": ("{field} is in {0}", "type how many containers, such as 7"),
    # what makes no sense together
    "no ingredients": ("no ingredients for {0}", "add a row to Ingredients, or type no under Include"),
    "ingredient loop": ("{0} is an ingredient of itself ({1})", "take one of them out of Ingredients"),
    "target without preserve": ("nothing counts toward {0}", "add a row to Counts toward, or delete the target"),
    "at most below wanted": ("{field} of {0} is {1}, below Wanted, {2}", "raise one, or lower the other"),
    "no periods": ("days planned in detail and weeks planned roughly are both 0", "plan at least one day or one week"),
    "load too small": ("a load of {0} is less than one {2} of {1}", "correct the load, or what one container takes"),
    "no load for container": (
        "Equipment does not give how many {1} fit in a load of {0}",
        "add a row for {0}: how many under Load, {1} under Load unit",
    ),
    # what cannot be written
    "outside the sheet": ("this cell is outside the sheet", "use fewer rows or columns"),
    "value not writable": ("this value cannot be written ({0})", "change the value"),
    "same heading twice": ("two headings of {0} are the same", "give each column its own heading"),
    "table too long": ("the table {0} would run off the sheet", "plan fewer days"),
    "totals row below": (
        "the totals row of {0} is where the table must grow",
        "move it, or add rows to the table first",
    ),
    "cell below": ("this cell is where the table {0} must grow", "move it, or add rows to the table first"),
    "block below": ("{0} is where the table {1} must grow", "move it, or add rows to the table first"),
    "cell of a heading": ("this cell is a heading of the table {0}", "move the table"),
    "cell of a totals row": ("this cell is in the totals row of the table {0}", "move the table"),
    "cell of a query": ("the table {0} is filled by a query", "move the table"),
    "cell merged": ("this cell is merged, so the plan cannot be written here", "move the table, or unmerge the cells"),
    "cell of an array": ("this cell is part of an array formula, so the plan cannot be written here", "move the table"),
    "cell of a data table": ("this cell is part of a data table, so the plan cannot be written here", "move the table"),
    "cell of a shared formula": (
        "other cells share the formula of this cell, so the plan cannot be written here",
        "move the table",
    ),
    "rows not in order": (
        "the rows of this sheet are not in order in the file",
        "open it in your spreadsheet program and save it again as .xlsx",
    ),
    "rows written oddly": (
        "the rows of this sheet are written in an unusual way",
        "open it in your spreadsheet program and save it again as .xlsx",
    ),
    "not a plan table": (
        "the table {0} is not one the planner wrote: no column {1}",
        "rename this table; the planner then adds its own",
    ),
    "formula in the record": (
        "{field} of this row is a formula, and the number would replace it",
        "type the value over the formula yourself",
    ),
    "formula cannot move": (
        "this cell is next to a plan line that moves, and a formula cannot move with it",
        "type its result as a number, or fill the formula down the whole column",
    ),
    "line in another unit": (
        "Keep at or Made of this line is in {0}, but the plan counts the crop in {1}",
        "type both in {1}",
    ),
    "column missing to adopt": (
        "the table {0} has no column {field}",
        "add it; or, if the table is about something else, rename the table and adopt again",
    ),
    "cells like a table": (
        "these cells have the headings of {0}",
        "if they are {0}, format them as a table named {1}; if not, rename the heading {2} and adopt again",
    ),
    "table like another": (
        "the table {0} has the headings of {1}",
        "if it is {1}, rename it to {2}; if not, rename its heading {3} and adopt again",
    ),
    # what a reading notes
    "table renamed": ("the table {1} has the headings of {0}, but another name", "rename it to {2} to have it read"),
    "table found by headings": (
        "{0} is not a spreadsheet table, but was found by its headings",
        "to be safe, format it as a table named {1}",
    ),
    "table empty": ("{0} is empty", "fill it in: {1}"),
    "hidden rows": ("the table {1} has hidden rows ({0}), and they are used too", "clear them if you do not want them"),
    "row below a blank row": (
        "this row is not read: the empty row above it ends the table {0}",
        "delete the empty row",
    ),
    "row below the table": (
        "this row is not read: it is below the table {0}, not in it",
        "pull the lower right corner of the table down over it",
    ),
    "number as text": (
        "{field} holds the text {0}, read as the number {1}",
        "type the number again if formulas should count it too",
    ),
    "bare pint": ("pint is read as the US pint of 16 fl oz (473 ml)", "type imperial pint where you mean 568 ml"),
    "date far away": ("{field} {0} is far from the first day, {1}", "check the year, or first day in Kitchen"),
    "weighed after the first day": (
        "{0} of {1} is marked weighed, but the first day is {2}",
        "type expected, or set first day in Kitchen to today",
    ),
    "bounds of a weighed lot": ("{field} is not used for a weighed lot", "clear it, or type expected"),
    "planned for likely harvest": (
        "the plan uses the likely harvest",
        "to prepare for poor and good harvests too, type all harvests at plan for in Kitchen (about 5 times slower)",
    ),
    "hours unlimited": ("Hours has no row for {0}, so its hours have no limit", "add a row for {0}"),
    "sheet protected": ("the sheet {0} is protected; the plan is written anyway, and the protection stays", ""),
    "hidden rows of the plan": (
        "a filter hides rows of {1} ({0}), and the plan is written there too",
        "clear the filter to see all of it",
    ),
    "first day saved before": (
        "first day is a formula that last gave {0}; today is {1}",
        "clear the cell: a blank first day is always today. Or type the day",
    ),
    "older copy": (
        "this is an older copy: {0} was written later. Somebody may have saved a copy opened before",
        "ask what was typed in between (lots, record), and type it again",
    ),
    # what a household notes
    "no included preserve": (
        "no included preserve counts toward {0}",
        "to fill it, type yes under Include for one of them",
    ),
    "ingredient not included": (
        "{0} takes {1}, which is neither included nor on the shelf",
        "type yes under Include for {1}",
    ),
    "counts toward no target": (
        "{0}: counts toward no target, so the plan makes none unless you keep it at a number",
        "to count it, add a row to Counts toward",
    ),
    "only an ingredient": (
        "{0}: counts toward no target, so the plan makes only what other preserves use",
        "to count it, add a row to Counts toward",
    ),
    "no container to be had": (
        "none of {0}: no {1} on hand or to buy",
        "count them again, or type how many under Can buy",
    ),
    "frozen crop not used": ("no included preserve uses frozen {0}", "eat it soon, or clear Frozen on if it is fresh"),
    "hours of a day above people": (
        "{0} hands-on hours on one day is more than {1} people have",
        "correct the hours, or people in Kitchen",
    ),
    "hours of a week above people": (
        "{0} hands-on hours in a later week is more than {1} people have",
        "correct the hours, or people in Kitchen",
    ),
    "price missing": ("no price for {0}, so it costs nothing against the spending limit", "type its price"),
    "minutes spread": (
        "{0} has minutes a load but no equipment, so they are spread over its smallest batch, {1}",
        "name its equipment, or type the minutes each",
    ),
    "fixed line unknown": ('{field} is ignored: no {1} is called "{0}"', "correct the name, or add it to {2}"),
    "fixed line not frozen": (
        "{field} is ignored: {0} may not be frozen whole",
        "type yes under May be frozen whole, or clear Keep at",
    ),
    "fixed line past": ("{field} for {0} on {1} is over", "type what you made, or clear Keep at"),
    "fixed line after the plan": (
        "{field} for {0} on {1} is after the plan, which ends {2}",
        "the plan keeps it once it reaches that day",
    ),
    "fixed line twice": (
        "{field} for {0} on {1} is there twice, with {2} and {3}",
        "delete one of the two (the other is {4})",
    ),
    # what the record notes
    "lot past keeping": (
        "{0} picked on {1} keeps only {2}, so the plan ignores it",
        "sort it today, and weigh again what is sound",
    ),
    "frozen lot past keeping": (
        "{0} frozen whole on {1}: more than the {2} weeks it keeps",
        "cook it on the first day, or it counts as surplus",
    ),
    "expected lot not weighed": (
        "{0} expected on {1}: never marked weighed, so the plan ignores it",
        "mark it weighed, or delete the row",
    ),
    "lot below zero": (
        "the record uses {0} more than there was, first on {1}",
        "weigh in the missing lot, or correct the record",
    ),
    "more eaten than on the shelf": (
        "by {1} the record has {0} eaten that the shelf did not have",
        "count the shelf again",
    ),
    "more used than on the shelf": ("on {1} the record uses {0} that the shelf did not have", "count the shelf again"),
    "stock below zero": (
        "the record uses {0} more than the {1}",
        "run stillroom bought, or count again and type the day under Counted on",
    ),
    "counted on blank": (
        "{field} is blank for {0}, so everything used since {1} is taken off",
        "type the day you counted, if you counted later",
    ),
    "count differs": (
        "by the record there should be {0}, but you counted {1}",
        "the plan uses your count. Look for what was not written down",
    ),
    "learned": (
        "{0} is planned with {1}, learned from {3} records, not {2}",
        "to plan with what you typed, type no at use learned yields in Kitchen",
    ),
    "learned outlier": (
        "{0} of {1} took {2}, far from the others, so it is not learned from",
        "correct it if it is a slip",
    ),
    "seal failed": (
        "not sealed on {1}: {0}. The lid is used up, the jar is not",
        (
            "refrigerate it and eat it within days, or freeze it, "
            "or can it again within 24 hours with a new lid and the full time ({2})"
        ),
    ),
    "past line not recorded": (
        "no record of {0}, so it counts as not made",
        "if you made it, type how many under Made or in Record",
    ),
    "made twice": ("{0} of {1} is here and in Made of the plan, and both count", "delete this row if it was made once"),
    # what follows from a refused preserve
    "target refused": (
        "The plan makes nothing for {0}, because it leaves out {1}. {cause}",
        "Fix that error, or include another preserve.",
    ),
    "ingredient refused": (
        "The plan makes no {0}: it needs {1}, which is left out, and none is on the shelf.",
        "Fix the error of {1} first.",
    ),
    "crop refused": (
        "{0} will be surplus, because the plan leaves out what would use it: {1}.",
        "Fix the errors, or include another preserve.",
    ),
}
