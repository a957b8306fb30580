"""The shipping form: an address label to tear off, a slip for the box, and how to pack. One sheet."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from intake.papers.head import Head
from intake.papers.html import pdf_in_child
from intake.papers.press import Press, filled, printed


@dataclass(frozen=True)
class LaterCost:
    """What can cost money later, and when; `amount` in the head's currency."""

    words: str
    amount: Decimal


@dataclass(frozen=True)
class ShippingForm:
    """All that the form says. Texts are as the customer gave them; amounts are in the head's currency.

    `liquid_words` is the caution for a device that got wet.
    """

    head: Head
    code: str
    send_to: tuple[str, ...]
    sender: tuple[str, ...]
    device: str
    symptom: str
    made_on: date
    serial: str = ""
    happened: str = ""
    idea: str = ""
    data_wish: str = ""
    lock_note: str = ""
    contents: tuple[str, ...] = ()
    post_marks: tuple[str, ...] = ()
    post_marks_source: str = ""
    later_costs: tuple[LaterCost, ...] = ()
    diagnosis_words: str = ""
    standing_limit: Decimal | None = None
    declared_value: Decimal | None = None
    terms_version: str = ""
    liquid_words: str = ""


TEMPLATE = "papers/shipping_form.html"


def shipping_form_html(form: ShippingForm) -> str:
    return filled(TEMPLATE, form)


def shipping_form_pdf(form: ShippingForm, *, press: Press = pdf_in_child) -> bytes:
    """The form as PDF, A4 or Letter by the head. One sheet unless the symptom is long. Raises PaperError."""
    return printed(TEMPLATE, form, title=f"Shipping form {form.code}", press=press)
