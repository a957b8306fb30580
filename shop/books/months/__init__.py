"""The monthly report: one a month, written once, posted to the owner."""
