"""A part that is not new is called so wherever it is named. Pure."""

import re

NEW = "new"
LONGEST = 200


def named_as(text: str, condition: str) -> str:
    """The text with the condition behind it: "Speaker (from a donor board)".

    `condition` is in words, as `Part.Condition` shows it; empty or "new" adds nothing, nor does what the text says
    already. Kept to 200 signs, the condition whole.
    """
    plain = text.strip()[:LONGEST]
    if condition in ("", NEW) or re.search(rf"\b{re.escape(condition)}\b", plain, re.IGNORECASE):
        return plain
    behind = f" ({condition})"
    return (plain[: LONGEST - len(behind)].rstrip() + behind).strip()
