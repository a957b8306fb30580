"""The words a customer can tick in a request, and what the short ones kept with the order mean. Pure.

Lists (symptoms, before, in the box) are kept as the words themselves; wishes are kept by a short key.
"""

import unicodedata

GOT_WET = "It got wet"
BEFORE: tuple[str, ...] = (
    "It was dropped or knocked",
    GOT_WET,
    "It was opened before",
    "Somebody tried to repair it",
    "It was on a different charger",
    "It stopped after an update",
    "It came on slowly",
)

DATA_WISH: dict[str, str] = {
    "needed": "I need what is on it",
    "nice": "Good to have, not vital",
    "no": "I need nothing on it",
}

BACKED_UP: dict[str, str] = {
    "yes": "All of it is backed up",
    "part": "Some of it is backed up",
    "no": "None of it is backed up",
    "unknown": "I do not know if it is backed up",
}

LOCK_WISH: dict[str, str] = {
    "test without": "Test without the code",
    "ask": "Ask me if a test needs the lock open",
    "none": "There is no lock on it",
}

NOTHING_SEEN = "none"
NOTHING_SEEN_WORDS = "None of these: flat, cool, dry, no smell"

IN_THE_BOX: tuple[str, ...] = (
    "The device",
    "Charger",
    "Cable",
    "Case or sleeve",
    "Pen",
    "Loose parts in a bag",
)

# Ways to turn the reading order round or to hide a line; they have no place in what a person types.
_HIDDEN = set("\u200b\u2028\u2029\u202a\u202b\u202c\u202d\u202e\u2060\u2066\u2067\u2068\u2069\ufeff")


def plain_text(text: str) -> str:
    """Typed text without control characters, lone surrogates and hidden direction signs; line breaks stay as LF."""
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    return "".join(
        sign
        for sign in text
        if sign in "\n\t" or (unicodedata.category(sign) not in ("Cc", "Cs") and sign not in _HIDDEN)
    )


def said_wish(words: dict[str, str], key: str) -> str:
    """The words of a kept key; "" for none, and the key itself where the words have gone."""
    return words.get(key, key)
