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


CHOICES = {
    "mend": "mend it",
    "data": "save the data only",
    "clean": "clean it, without a promise",
    "back": "send it back as it is",
    "recycle": "recycle it",
    "first": "only the first job",
}


CAUSES = {
    "same": "the same fault",
    "work": "our own work",
    "lot": "a part of a bad lot",
    "new": "a new fault",
    "damage": "new damage",
}
SLIP_ENDS = {
    "form": "The device is the right one; the form was wrong",
    "swapped": "Another device than on the form goes on",
    "back": "The wrong device goes back as it came",
    "safe": "The battery is out and safe",
    "battery": "The battery was handed to a licensed collector",
    "device": "The whole device was handed to a licensed collector",
}


def _cause(facts: Facts) -> str:
    said = CAUSES.get(str(facts.get("cause")), "not said")
    return f"{said}, {'we pay' if facts.get('covered') else 'not covered'}"


def _money(facts: Facts) -> str:
    return f"{facts.get('amount', '')} {facts.get('currency', '')}".strip()


def _mark(facts: Facts) -> str:
    name = str(facts.get("number") or facts.get("mark") or "")
    return f"{name}, {facts['words']}" if facts.get("words") else name


def _lot(facts: Facts) -> str:
    return f", lot {facts['lot']}" if facts.get("lot") else ""


def _number(value: object) -> int:
    return value if isinstance(value, int) else 0


_WORDS: dict[str, Callable[[Facts], str]] = {
    "moved": _moved,
    "sheet opened": lambda facts: "The sheet was opened",
    "held": lambda facts: f"Held: {facts.get('reason', '')}",
    "let go": lambda facts: f"No longer held: {facts.get('reason', '')}",
    "photo": lambda facts: f"A photo was added ({facts.get('role', '')})",
    "photos shown": lambda facts: f"{facts.get('count', 0)} photos are shown to the customer",
    "photo shown": lambda facts: f"A photo is shown to the customer ({facts.get('role', '')})",
    "photo hidden": lambda facts: f"A photo is no longer shown to the customer ({facts.get('role', '')})",
    "photo described": lambda facts: "What a photo shows was corrected",
    "photo marked": lambda facts: f"A photo was marked: {_mark(facts)}",
    "photo mark removed": lambda facts: f"A mark was taken off a photo: {_mark(facts)}",
    "photo mark put back": lambda facts: f"A mark was put back on a photo: {_mark(facts)}",
    "phone pass": lambda facts: "A phone was let in to add photos, for half an hour",
    "phone pass ended": lambda facts: "The phone was let out",
    "reading": lambda facts: f"A reading: {facts.get('typed') or facts.get('point') or ''}".rstrip(),
    "good reading": lambda facts: f"A good board was measured: {facts.get('typed', '')}",
    "good reading struck": lambda facts: f"A reading of a good board was struck: {facts.get('why', '')}",
    "meter": lambda facts: f"A meter was written down or put out of use: {facts.get('meter', '')}",
    "meter offset": lambda facts: f"A meter's offset was written down: {facts.get('meter', '')}",
    "second finding": lambda facts: "A second fault was found",
    "list word added": lambda facts: f"A word was put on a list: {facts.get('name', '')}",
    "list word renamed": lambda facts: f"A word goes by another name: {facts.get('name', '')}",
    "list word volts": lambda facts: f"What a rail carries was written down: {facts.get('name', '')}",
    "list word retired": lambda facts: f"A word is no longer offered: {facts.get('name', '')}",
    "list word back": lambda facts: f"A word is offered again: {facts.get('name', '')}",
    "list words merged": lambda facts: f"{facts.get('double', '')} counts under {facts.get('name', '')}",
    "list words parted": lambda facts: f"{facts.get('name', '')} counts by itself again",
    "remedies merged": lambda facts: f"{facts.get('double', '')} counts under {facts.get('name', '')}",
    "remedies parted": lambda facts: f"{facts.get('name', '')} counts by itself again",
    "decided": lambda facts: f"Answered: {CHOICES.get(str(facts.get('choice')), facts.get('choice', ''))}",
    "quote lapsed": lambda facts: f"Quote {facts.get('revision', '')} lapsed",
    "minutes mended": lambda facts: f"Minutes were mended: {facts.get('why', '')}",
    "forgotten clock": lambda facts: "A forgotten clock was stopped at the last deed",
    "minutes by hand": lambda facts: f"{facts.get('minutes', 0)} minutes were written by hand",
    "bags counted": lambda facts: "The bags were counted",
    "payment": lambda facts: f"Paid: {_money(facts)}",
    "refund": lambda facts: f"Paid back: {_money(facts)}",
    "invoice": lambda facts: f"Invoice {facts.get('number', '')} was written",
    "credit note": lambda facts: f"Credit note {facts.get('number', '')} was written",
    "part used": lambda facts: f"A part was used: {facts.get('part', '')}{_lot(facts)}",
    "part spoiled": lambda facts: f"A part was spoiled: {facts.get('part', '')}{_lot(facts)}",
    "signed undone": lambda facts: (
        f"Signed with work left: {facts.get('undone', '')} Why: {facts.get('why', '')}"
    ),
    "step not done": lambda facts: f"A tick was taken off: {facts.get('step', '')}",
    "part put back": lambda facts: f"A part was put back: {facts.get('part', '')}",
    "let go unpaid": lambda facts: "It may go unpaid; the reason is on the sheet",
    "sender known": lambda facts: "Who sent it was written down",
    "came back": lambda facts: f"It came back, on the new sheet {facts.get('new sheet', '')}",
    "code given": lambda facts: "An unlock code was given and sealed",
    "code shown": lambda facts: f"The unlock code was looked at: {facts.get('reason', '')}",
    "code erased": lambda facts: f"The unlock code was erased: {facts.get('why', '')}",
    "second look": lambda facts: f"Test {facts.get('test', '')} was looked over by a second person",
    "data copied": lambda facts: f"Data was copied: {facts.get('files', 0)} files",
    "copy deleted": lambda facts: "Our own copy of the data was deleted",
    "comeback cause": lambda facts: f"Why it came back: {_cause(facts)}",
    "comeback looked at": lambda facts: f"It came back, on {facts.get('new sheet', '')}: {_cause(facts)}",
    "wrong device ended": lambda facts: SLIP_ENDS.get(
        str(facts.get("how")), "The wrong device was cleared up"
    ),
    "quarantine ended": lambda facts: SLIP_ENDS.get(str(facts.get("how")), "The battery was dealt with"),
    "own damage": lambda facts: "Our own damage was written down, and the customer told",
    "question": lambda facts: "The customer asked a question",
    "answer": lambda facts: "The shop wrote to the customer",
}


def entry_words(what: str, facts: Facts) -> str:
    """One line without a full stop; what is not known here is said as it was written down."""
    words = _WORDS.get(what)
    return words(facts) if words else what[:1].upper() + what[1:]
