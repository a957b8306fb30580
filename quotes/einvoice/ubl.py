"""The XML beside the PDF: UBL 2.1, core invoice of EN 16931."""

from lxml import etree

from quotes.einvoice.cii import must_fit, written
from quotes.einvoice.facts import InvoiceFacts
from quotes.einvoice.fields import terms
from quotes.einvoice.schema import parsed

FLAVOUR = "ubl-2.1"
CBC = "{urn:oasis:names:specification:ubl:schema:xsd:CommonBasicComponents-2}"


def ubl_xml(facts: InvoiceFacts) -> bytes:
    """The document as UTF-8 XML, checked by schema. Raises NotWritten."""
    numbered = terms(facts)
    if "BT-14" in numbered:
        # UBL has no place for the shop's order number alone; 'NA' stands for the buyer's (Peppol BIS 3, from memory).
        numbered["BT-13"] = "NA"
    xml = written(numbered, FLAVOUR)
    root = parsed(xml)
    for amount in root.iter(f"{CBC}PayableRoundingAmount"):
        # The writer marks this one amount as euro whatever the document's currency is.
        amount.set("currencyID", facts.currency)
    must_fit(root, "ubl credit note" if facts.kind == "credit" else "ubl invoice")
    return bytes(etree.tostring(root, xml_declaration=True, encoding="UTF-8"))
