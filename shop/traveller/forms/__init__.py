"""What is typed on the sheet, one module a station; `beside` holds what belongs to every station."""
