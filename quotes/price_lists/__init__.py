"""The price book as a list: rows out to a spreadsheet, and back in after a look at what would change."""
