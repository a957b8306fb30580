"""The history in plain words. Pure: what and facts of an entry in, one short sentence out."""

from collections.abc import Callable, Mapping

Facts = Mapping[str, object]

STATION_NAMES = {
    10: "Request", 20: "Goods in", 30: "Diagnosis", 40: "Quote", 50: "Go-ahead",
    60: "Repair", 70: "Test", 80: "Goods out", 90: "On its way home", 100: "Home",
}  # fmt: skip


def _moved(facts: Facts) -> str:
    to = STATION_NAMES.get(_number(facts.get("to")), "the next station")
    why = str(facts.get("why") or "")
    return f"Moved on to {to}: {why}" if why else f"Moved on to {to}"


def _number(value: object) -> int:
    return value if isinstance(value, int) else 0


_WORDS: dict[str, Callable[[Facts], str]] = {
    "moved": _moved,
    "sheet opened": lambda facts: "The sheet was opened",
    "held": lambda facts: f"Held: {facts.get('reason', '')}",
    "let go": lambda facts: f"No longer held: {facts.get('reason', '')}",
    "photo": lambda facts: f"A photo was added ({facts.get('role', '')})",
    "photos shown": lambda facts: f"{facts.get('count', 0)} photos are shown to the customer",
    "question": lambda facts: "The customer asked a question",
    "answer": lambda facts: "The shop wrote to the customer",
}


def entry_words(what: str, facts: Facts) -> str:
    """One line without a full stop; what is not known here is said as it was written down."""
    words = _WORDS.get(what)
    return words(facts) if words else what[:1].upper() + what[1:]
