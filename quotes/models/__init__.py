"""Rows of the first floor."""

from quotes.models.bank import BankLine, BankMatch, BankStatement, CardCheckout, CardEvent
from quotes.models.diagnosis import Finding, Reading
from quotes.models.knowledge import GoodReading, ListWord, Meter, MeterOffset
from quotes.models.ledger import Account, Closing, Entry, Posting
from quotes.models.money_rows import (
    BillAddition,
    Dispute,
    DisputeEnd,
    Invoice,
    InvoiceLine,
    NumberSeries,
    Payment,
    WriteOff,
)
from quotes.models.prices import Rates, Remedy, Surcharge, TradeTier
from quotes.models.quote import (
    Decision,
    DecisionStop,
    Quote,
    QuoteChoice,
    QuoteDraft,
    QuoteEnd,
    QuoteLine,
)
from quotes.models.stock import Lot, Move, Part
from quotes.models.trade import Statement, TradeAccount

__all__ = [
    "Account",
    "BankLine",
    "BankMatch",
    "BankStatement",
    "BillAddition",
    "CardCheckout",
    "CardEvent",
    "Closing",
    "Decision",
    "DecisionStop",
    "Dispute",
    "DisputeEnd",
    "Entry",
    "Finding",
    "GoodReading",
    "Invoice",
    "InvoiceLine",
    "ListWord",
    "Lot",
    "Meter",
    "MeterOffset",
    "Move",
    "NumberSeries",
    "Part",
    "Payment",
    "Posting",
    "Quote",
    "QuoteChoice",
    "QuoteDraft",
    "QuoteEnd",
    "QuoteLine",
    "Rates",
    "Reading",
    "Remedy",
    "Statement",
    "Surcharge",
    "TradeAccount",
    "TradeTier",
    "WriteOff",
]
