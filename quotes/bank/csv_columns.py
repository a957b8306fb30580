"""Which column of a bank's CSV is which: a few spellings are known, the rest a person says once."""

import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

# What a column may hold, with words for the form that asks. An amount is one column or one each for in and out.
MEANINGS: dict[str, str] = {
    "day": "Day it was booked",
    "amount": "Amount, with its sign",
    "came": "Money in",
    "went": "Money out",
    "side": "In or out (a word beside the amount)",
    "name": "Who paid",
    "text": "What the payer wrote",
    "reference": "Payment reference",
    "bank_ref": "The bank's own number of the movement",
    "balance": "Balance after it",
    "currency": "Currency",
    "account": "Our account",
}

# Common practice of banks' exports in a few languages, no source. Compared without accents, blanks and signs.
_SPELLINGS: dict[str, tuple[str, ...]] = {
    "day": (
        "booking date", "date booked", "posting date", "booked", "transaction date", "entry date", "date", "day",
        "buchungstag", "buchungsdatum", "buchung", "datum", "date comptable", "date operation", "date de comptabilisation",
        "fecha", "fecha operacion", "data", "value date", "valuta",
    ),
    "amount": (
        "amount", "transaction amount", "betrag", "umsatz", "montant", "importe", "importo", "bedrag", "sum",
        "amount in account currency", "net amount",
    ),
    "came": ("money in", "paid in", "credit", "credit amount", "haben", "gutschrift", "deposits", "deposit", "in"),
    "went": ("money out", "paid out", "debit", "debit amount", "soll", "belastung", "withdrawals", "withdrawal", "out"),
    "side": ("credit debit", "debit credit", "cr dr", "dr cr", "soll haben", "direction", "credit debit indicator"),
    "name": (
        "name", "payer", "payer name", "counterparty", "counterparty name", "from to", "debtor name", "other party",
        "auftraggeber", "auftraggeber beguenstigter", "beguenstigter zahlungspflichtiger", "name zahlungsbeteiligter",
        "contrepartie", "payee", "party",
    ),
    "text": (
        "text", "details", "description", "memo", "narrative", "remittance information", "message", "purpose",
        "transaction details", "verwendungszweck", "buchungstext", "libelle", "concepto", "particulars",
    ),
    "reference": (
        "reference", "payment reference", "creditor reference", "structured reference", "remittance reference",
        "referenz", "zahlungsreferenz", "ref",
    ),
    "bank_ref": (
        "bank reference", "transaction id", "transaction number", "bank ref", "id", "movement number", "trans id",
        "account servicer reference", "transaktionsnummer", "entry number",
    ),
    "balance": ("balance", "running balance", "balance after", "saldo", "kontostand", "solde", "saldo nach buchung"),
    "currency": ("currency", "ccy", "waehrung", "devise", "moneda", "valuta waehrung"),
    "account": ("account", "our account", "account number", "iban", "own iban", "auftragskonto", "iban auftragskonto", "compte"),
}  # fmt: skip
_MEANING_OF = {spelling: meaning for meaning, spellings in _SPELLINGS.items() for spelling in spellings}


@dataclass(frozen=True)
class Layout:
    """How a file is to be read. `columns`: place of each meaning, from 0; empty styles are read off the cells."""

    columns: Mapping[str, int] = field(default_factory=dict)
    decimal: str = ""
    order: str = ""


def folded(text: str) -> str:
    """Lower case without accents and signs, single blanks."""
    text = text.casefold().replace("ä", "ae").replace("ö", "oe").replace("ü", "ue").replace("ß", "ss")
    plain = "".join(sign for sign in unicodedata.normalize("NFKD", text) if not unicodedata.combining(sign))
    return " ".join(re.sub(r"[^0-9a-z]+", " ", plain).split())


def recognise(header: Sequence[str]) -> dict[str, int]:
    """The place of each meaning that the header's words give; the better spelling wins where two columns offer."""
    best: dict[str, tuple[int, int]] = {}
    for place, cell in enumerate(header):
        # 'Amount (GBP)' and 'Betrag EUR' name the currency too.
        words = (
            re.sub(r"( [a-z]{3})$", "", folded(cell))
            if re.search(r"[A-Z]{3}\)?$", cell.strip())
            else folded(cell)
        )
        for spelling in (folded(cell), words):
            if meaning := _MEANING_OF.get(spelling):
                rank = _SPELLINGS[meaning].index(spelling)
                if meaning not in best or rank < best[meaning][0]:
                    best[meaning] = (rank, place)
                break
    return {meaning: place for meaning, (_, place) in best.items()}


def is_enough(columns: Mapping[str, int]) -> bool:
    """True where a day and an amount, in one column or two, are there."""
    return "day" in columns and ("amount" in columns or {"came", "went"} <= set(columns))
