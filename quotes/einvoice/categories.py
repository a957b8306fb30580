"""What each tax category of EN 16931 asks of a document. Codes from UNTDID 5305.

Source: rules BR-S, BR-Z, BR-E, BR-AE, BR-IC (code K), BR-G, BR-O, BR-AF (code L), BR-AG (code M), artefacts 1.3.16.
"""

from collections.abc import Iterator

from quotes.einvoice.facts import InvoiceFacts
from quotes.einvoice.identifiers import tax_id

NAMES = {
    "S": "standard rate",
    "Z": "zero rate",
    "E": "exempt",
    "AE": "reverse charge",
    "K": "supply within the EU",
    "G": "export",
    "O": "outside the scope of tax",
    "L": "Canary Islands",
    "M": "Ceuta and Melilla",
}
NEEDS_REASON = frozenset({"E", "AE", "K", "G", "O"})
RATED = frozenset({"S", "L", "M"})
WITHOUT_RATE = frozenset({"O"})
NEEDS_VAT_OF_SHOP = frozenset({"K", "G"})


def wrong_categories(facts: InvoiceFacts) -> Iterator[str]:
    """Every category's own demands that the document does not meet, as sentences."""
    used = dict.fromkeys(group.category for group in facts.groups)
    for category in used:
        if category not in NAMES:
            yield f"The tax kind {category!r} is not known here."
    yield from _rates(facts)
    if "O" in used and len(used) > 1:
        yield "What is outside the scope of tax cannot stand beside taxed or exempt lines on one electronic invoice."
    yield from _numbers(facts, set(used))
    for group in facts.groups:
        if group.category in NEEDS_REASON and not group.reason.strip():
            yield f"The reason why there is no tax ({NAMES[group.category]}) is missing."
    if "K" in used and facts.supplied is None:
        yield "A supply within the EU needs the day of the delivery."


def _rates(facts: InvoiceFacts) -> Iterator[str]:
    for group in facts.groups:
        name = NAMES.get(group.category, group.category)
        if group.percent < 0:
            yield "A tax rate cannot be below nought."
        elif group.category == "S" and not group.percent:
            yield "The standard rate must be above nought."
        elif group.category not in RATED and group.percent:
            yield f"A rate of {group.percent:f} % does not go with the tax kind “{name}”."


def _numbers(facts: InvoiceFacts, used: set[str]) -> Iterator[str]:
    shop, customer = tax_id(facts.seller), tax_id(facts.buyer)
    if used & NEEDS_VAT_OF_SHOP and not shop.vat:
        yield "The shop's tax number must begin with its country's letters (settings)."
    elif used - {"O"} and not (shop.vat or shop.other):
        yield "The shop's tax number is missing in the settings."
    if "K" in used and not customer.vat:
        yield "The customer's tax number, with its country's letters, is missing on the invoice."
    elif "AE" in used and not (customer.vat or customer.other):
        yield "The customer's tax number is missing on the invoice."
