"""Commands from the printed card: scanned like any code, they start and stop the minutes. Pure."""

import re

# The words on the card; only letters, digits and the hyphen, which every scanner types on every keyboard.
KIND_OF = {"GO-LOOK": "look", "GO-REPAIR": "repair", "GO-TEST": "test", "GO-TALK": "talk"}
STOP = "GO-STOP"
COMMANDS = (*KIND_OF, STOP)


def read_command(typed: str) -> str:
    """The command that was scanned or typed, or "": case, blanks and a lost hyphen aside."""
    shaped = re.sub(r"[\s_-]+", "-", typed.strip().upper())
    shaped = re.sub(r"^GO(?!-)", "GO-", shaped)
    return shaped if shaped in COMMANDS else ""
