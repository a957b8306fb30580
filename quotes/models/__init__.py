"""Rows of the first floor."""

from quotes.models.diagnosis import Finding, Reading
from quotes.models.money_rows import Invoice, InvoiceLine, NumberSeries, Payment
from quotes.models.prices import Rates, Remedy
from quotes.models.quote import Decision, DecisionStop, Quote, QuoteDraft, QuoteEnd, QuoteLine
from quotes.models.stock import Move, Part

__all__ = [
    "Decision",
    "DecisionStop",
    "Finding",
    "Invoice",
    "InvoiceLine",
    "Move",
    "NumberSeries",
    "Part",
    "Payment",
    "Quote",
    "QuoteDraft",
    "QuoteEnd",
    "QuoteLine",
    "Rates",
    "Reading",
    "Remedy",
]
