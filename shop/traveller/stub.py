"""The stub of the sheet: what it is, whose it is, what the customer says and what must be kept."""

from typing import Any

from intake import wording
from intake.house import house
from intake.models import Order
from intake.papers.codes import code128_svg, qr_svg

DATA_WISHES = {
    "needed": "Data on it, needed",
    "nice": "Data, if it can be",
    "no": "Nothing; data is not needed",
}
BACKED_UP = {
    "yes": "backed up",
    "no": "not backed up",
    "part": "partly backed up",
    "unknown": "backup not known",
}
LOCKS = {
    "test without": "Test without the code",
    "ask": "Ask when it is needed",
    "code": "Code will be given",
    "none": "No lock",
}


def stub(order: Order) -> dict[str, Any]:
    """Keys of frame/sheet_stub.html: code, what, ids, line, says, barcode_svg, qr_svg."""
    return {
        "code": order.code,
        "what": order.device.what,
        "ids": _ids(order),
        "line": _line(order),
        "says": _says(order),
        "barcode_svg": code128_svg(order.code),
        "qr_svg": qr_svg(order.code),
    }


def _ids(order: Order) -> list[tuple[str, str]]:
    pairs = [("Serial", order.device.serial), ("IMEI", order.device.imei), ("Bag", order.bag_here)]
    return [(label, value) for label, value in pairs if value]


def _line(order: Order) -> str:
    customer = order.customer
    if customer is None:
        return "Nobody is known for it yet."
    reach = [customer.name, customer.phone, customer.email, "trade customer" if customer.trade else ""]
    return ", ".join(word for word in reach if word)


def _says(order: Order) -> list[tuple[str, str, bool]]:
    says = [("The customer says", _words(order), True)] if _words(order) else []
    if order.idea:
        says.append(("Their idea", order.idea, True))
    if before := ". ".join([*map(str, order.before), *([order.before_words] if order.before_words else [])]):
        says.append(("What happened before", before, False))
    says += [("Must keep", keep, False)] if (keep := _keep(order)) else []
    if order.lock_wish:
        says.append(("Lock", LOCKS.get(order.lock_wish, order.lock_wish), False))
    if order.promise:
        says.append(("Promised for", wording.day(order.promise), False))
    if order.standing_limit is not None:
        limit = wording.money(order.standing_limit, order.currency, house().locale)
        says.append(("May start up to", f"{limit} in all", False))
    if order.return_address:
        place = order.return_address
        where = [place.name, place.city, place.country]
        says.append(("Return to", ", ".join(word for word in where if word), False))
    return says


def _words(order: Order) -> str:
    ticked = ". ".join(str(symptom).rstrip(".") for symptom in order.symptoms)
    return " ".join(part for part in (f"{ticked}." if ticked else "", order.words.strip()) if part)


def _keep(order: Order) -> str:
    wish = DATA_WISHES.get(order.data_wish, order.data_wish)
    backup = BACKED_UP.get(order.backed_up, order.backed_up)
    return ", ".join(word for word in (wish, backup) if word)
