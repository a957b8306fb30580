"""From facts to the numbered terms of EN 16931 (BT, BG) as the writer takes them: every number as text, made from Decimal."""

from decimal import Decimal
from typing import Any

from intake.papers.words import fit
from quotes.einvoice.categories import NEEDS_REASON, WITHOUT_RATE
from quotes.einvoice.facts import Group, InvoiceFacts, Item, LineFacts, Party
from quotes.einvoice.identifiers import bic, iban, tax_id

LONGEST = 1000
INVOICE, CREDIT_NOTE = "380", "381"
SEPA_TRANSFER, TRANSFER, NOT_DEFINED = "58", "30", "1"
# UNTDID 5189 'discount' and UNTDID 7161 'additional services' need no reason code beside words; words alone are enough.
REASON_CODES = {"AE": "vatex-eu-ae", "K": "vatex-eu-ic", "G": "vatex-eu-g", "O": "vatex-eu-o"}


class NotWritten(Exception):
    """The facts could not be written as a valid document; the message is a sentence."""


def terms(facts: InvoiceFacts) -> dict[str, Any]:
    """A new dict of BT and BG terms each time: the writer changes what it is given."""
    plain = {
        "BT-1": _words(facts.number),
        "BT-2": facts.issued,
        "BT-3": CREDIT_NOTE if facts.kind == "credit" else INVOICE,
        "BT-5": facts.currency,
        "BT-9": facts.due,
        "BT-14": _words(facts.order_code),
        "BT-20": _words(facts.terms),
        # Without any day the writer leaves an empty element that the schema refuses.
        "BT-72": facts.supplied or facts.issued,
        "BG-1": [{"BT-22": _words(facts.note)}] if facts.note.strip() else [],
        "BG-3": [_credited(facts)] if facts.credit_of else [],
        "BG-4": _seller(facts),
        "BG-7": _buyer(facts),
        "BG-13": _delivered(facts),
        "BG-20": [_item(item) for item in facts.allowances],
        "BG-21": [_item(item) for item in facts.charges],
        "BG-23": [_group(group) for group in facts.groups],
        "BG-25": [_line(line) for line in facts.lines],
        **_payment(facts),
        **_sums(facts),
    }
    return {name: value for name, value in plain.items() if value}


def _sums(facts: InvoiceFacts) -> dict[str, str]:
    always = {
        "BT-106": facts.line_sum,
        "BT-109": facts.net,
        "BT-110": facts.tax,
        "BT-112": facts.total,
        "BT-115": facts.payable,
    }
    if facts.allowances:
        always["BT-107"] = facts.allowance_sum
    if facts.charges:
        always["BT-108"] = facts.charge_sum
    if facts.prepaid:
        always["BT-113"] = facts.prepaid
    if facts.rounding:
        always["BT-114"] = facts.rounding
    return {name: amount_text(amount) for name, amount in always.items()}


def _payment(facts: InvoiceFacts) -> dict[str, str]:
    account = iban(facts.account)
    if account:
        means = {"BT-81": SEPA_TRANSFER, "BT-84": account, "BT-86": bic(facts.bic)}
    elif facts.account.strip():
        means = {"BT-81": TRANSFER, "BT-84": _words(facts.account), "BT-86": bic(facts.bic)}
    else:
        means = {"BT-81": NOT_DEFINED}
    return means | {"BT-83": _words(facts.reference)}


def _credited(facts: InvoiceFacts) -> dict[str, Any]:
    number, day = facts.credit_of or ("", None)
    return {"BT-25": _words(number), "BT-26": day}


def _seller(facts: InvoiceFacts) -> dict[str, Any]:
    party, number = facts.seller, tax_id(facts.seller)
    outside = any(group.category in WITHOUT_RATE for group in facts.groups)
    # BR-O-02: a document outside the scope of tax names no VAT identifier. BR-CO-26: the seller is named some way.
    vat = "" if outside else number.vat
    named = "" if vat else party.identifier or number.vat or number.other or party.email or party.name
    contact = {"name": party.trade_name or party.name, "phone": party.phone, "email": party.email}
    return {
        **_party(party),
        "biz_name": _words(party.trade_name) if party.trade_name != party.name else "",
        "vat_identifier": vat,
        "tax_identifier": _words(number.other),
        "identifiers": {None: _words(named)} if named else {},
        "contacts": [{name: _words(text) for name, text in contact.items() if text.strip()}],
    }


def _buyer(facts: InvoiceFacts) -> dict[str, Any]:
    party, number = facts.buyer, tax_id(facts.buyer)
    outside = any(group.category in WITHOUT_RATE for group in facts.groups)
    return {
        **_party(party),
        "vat_identifier": "" if outside else number.vat,
        "legal_identifier": _words(number.other or (number.vat if outside else "")),
    }


def _party(party: Party) -> dict[str, Any]:
    lines = {"addr_l1": party.street, "addr_l2": party.more, "city": party.city, "postcode": party.postcode}
    return {
        "name": _words(party.name),
        "country_code": party.country,
        "country_subdivision": _words(party.area),
        **{name: _words(text) for name, text in lines.items()},
    }


def _delivered(facts: InvoiceFacts) -> dict[str, Any] | None:
    """BG-13: the address it went to, which a supply within the EU must name (BR-IC-12)."""
    if any(group.category == "K" for group in facts.groups):
        return _party(facts.buyer)
    return None


def _item(item: Item) -> dict[str, str]:
    rate = {} if item.category in WITHOUT_RATE else {"vat_rate": number_text(item.percent)}
    return {
        "amount": amount_text(item.amount),
        "reason": _words(item.text),
        "vat_category_code": item.category,
        **rate,
    }


def _group(group: Group) -> dict[str, str]:
    needs = group.category in NEEDS_REASON
    return {
        "BT-116": amount_text(group.base),
        "BT-117": amount_text(group.tax),
        "BT-118": group.category,
        **({} if group.category in WITHOUT_RATE else {"BT-119": number_text(group.percent)}),
        **({"BT-120": _words(group.reason)} if needs else {}),
        **({"BT-121": REASON_CODES[group.category].upper()} if group.category in REASON_CODES else {}),
    }


def _line(line: LineFacts) -> dict[str, Any]:
    written: dict[str, Any] = {
        "BT-126": _words(line.number),
        "BT-129": number_text(line.quantity),
        "BT-130": line.unit,
        "BT-131": amount_text(line.net),
        "BT-146": number_text(line.price),
        "BT-151": line.category,
        "BT-153": _words(line.text),
    }
    if line.category not in WITHOUT_RATE:
        written["BT-152"] = number_text(line.percent)
    if line.per != 1:
        written["BT-149"] = number_text(line.per)
    if line.allowance:
        written["BG-27"] = [{"amount": amount_text(line.allowance), "reason": "Reduction"}]
    if line.charge:
        written["BG-28"] = [{"amount": amount_text(line.charge), "reason": "Addition"}]
    return written


def amount_text(amount: Decimal) -> str:
    """An amount without exponent and with at most the digits it needs: 12.340 is 12.34, 12.5 is 12.50, 1200 is 1200."""
    short = f"{amount.normalize():f}" if amount else "0"
    whole, point, digits = short.partition(".")
    return f"{whole}{point}{digits:0<2}" if point else short


def number_text(number: Decimal) -> str:
    """A quantity, price or rate without exponent and idle noughts."""
    return f"{number.normalize():f}" if number else "0"


def _words(text: str) -> str:
    """Text that XML can hold: control characters out, one line."""
    return " ".join(fit(text, LONGEST).split())
