"""Text for a file that a spreadsheet opens. Pure."""

SIGNS = ("=", "+", "-", "@", "\t", "\r", "\n", "\0", "|", "%", "＝", "＋", "－", "＠")


def harmless(text: str) -> str:
    """Text that no spreadsheet reads as a formula: an apostrophe before a sign that would begin one.

    Source: OWASP, "CSV injection" (signs = + - @, tab, carriage return, and their full-width forms; from memory) and
    ASVS 5.0, 1.2.10 (adds the NUL).
    """
    return f"'{text}" if text[:1] in SIGNS else text
