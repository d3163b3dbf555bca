"""The list of what to bring: a page to tick off, a workbook, a table."""
