"""Text for a file that a spreadsheet opens. Pure."""

SIGNS = ("=", "+", "-", "@", "\t", "\r", "\n", "|", "%")


def harmless(text: str) -> str:
    """Text that no spreadsheet reads as a formula: an apostrophe before a sign that would begin one.

    Source: OWASP, "CSV injection" (signs = + - @, tab, carriage return; from memory).
    """
    return f"'{text}" if text[:1] in SIGNS else text
