"""Which open bills a movement may be for. It only proposes; a person confirms.

The payment reference is ISO 11649 ('RF' and check digits); it is found with blanks in it and in small letters too.
Likeness of names: ratio of `difflib.SequenceMatcher` on names without accents, words in order of the alphabet.
"""

import itertools
import re
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from difflib import SequenceMatcher
from functools import lru_cache

from stdnum import iso11649

ALIKE = 0.82
# Beyond it not every set of one payer's bills is tried, only all together and the oldest ones first.
MOST_TOGETHER = 12
MOST_PROPOSALS = 5


@dataclass(frozen=True)
class Line:
    """What the bank says of money that came in: `amount` above nought."""

    amount: Decimal
    name: str = ""
    reference: str = ""
    text: str = ""


@dataclass(frozen=True, order=True)
class OpenBill:
    """What one order still owes. `order` is its code; `payer` is the same for all bills of one customer.

    `due` is any text that sorts, such as an ISO day. `purpose`: 'bill' or 'deposit'.
    """

    due: str
    order: str
    purpose: str
    owed: Decimal
    payer: str = ""
    names: tuple[str, ...] = ()
    numbers: tuple[str, ...] = ()
    references: tuple[str, ...] = ()


@dataclass(frozen=True, order=True)
class Share:
    """A part of the movement, for one order."""

    order: str
    amount: Decimal
    purpose: str = "bill"


@dataclass(frozen=True)
class Proposal:
    """All of the movement laid out over orders. `sure` is 0 to 100 and only ranks; `why` is a sentence for a person."""

    shares: tuple[Share, ...]
    why: str
    sure: int

    @property
    def order(self) -> str:
        """The first order it goes to."""
        return self.shares[0].order

    @property
    def amount(self) -> Decimal:
        """All that is laid out."""
        return sum((share.amount for share in self.shares), Decimal(0))


def propose(line: Line, open_bills: Iterable[OpenBill]) -> list[Proposal]:
    """The best guesses first, at most five. Each lays out exactly the movement; the order of the bills is no matter."""
    bills = sorted(open_bills)
    if line.amount <= 0 or not bills:
        return []
    found = [*_named(line, bills), *_by_amount(line, bills), *_together(line, bills)]
    best: dict[tuple[Share, ...], Proposal] = {}
    for proposal in found:
        known = best.get(proposal.shares)
        if known is None or proposal.sure > known.sure:
            best[proposal.shares] = proposal
    ranked = sorted(
        best.values(), key=lambda proposal: (-proposal.sure, len(proposal.shares), proposal.shares)
    )
    return ranked[:MOST_PROPOSALS]


def references_in(line: Line) -> list[str]:
    """Every valid ISO 11649 reference that can be read in the line, for looking up what is paid already."""
    found = []
    for start in re.finditer("RF[0-9]{2}", packed := _packed(f"{line.reference} {line.text}")):
        longest = re.match("[0-9A-Z]{5,25}", packed[start.start() :])
        whole = longest[0] if longest else ""
        found += [whole[:end] for end in range(len(whole), 4, -1) if iso11649.is_valid(whole[:end])]
    return list(dict.fromkeys(found))


def numbers_in(line: Line) -> tuple[list[str], list[str]]:
    """What reads like numbers of documents ('INV-00012') and like order codes, for looking up what is paid already."""
    words = f"{_spaced(line.reference)} {_spaced(line.text)}"
    documents = [f"{found[1]}-{found[2]}" for found in re.finditer(r"\b([A-Z]{2,4}) ?([0-9]{4,8})\b", words)]
    orders = [f"{found[1]}-{found[2]}" for found in re.finditer(r"\b([0-9A-Z]{4}) ?([0-9A-Z]{4})\b", words)]
    return documents[:20], orders[:20]


def likeness(one: str, other: str) -> float:
    """0 to 1: how alike two names are, whatever their case, accents, titles and order of words; 0 for all below `ALIKE`."""
    first, second = _name(one), _name(other)
    if not first or not second:
        return 0.0
    if set(first.split()) == set(second.split()):
        return 1.0
    matcher = SequenceMatcher(None, first, second, autojunk=False)
    # The two quick ones are never below the true ratio, and most names fall at them.
    if matcher.real_quick_ratio() < ALIKE or matcher.quick_ratio() < ALIKE:
        return 0.0
    return matcher.ratio()


def _named(line: Line, bills: Sequence[OpenBill]) -> list[Proposal]:
    """Bills that the payer named: by reference, by number, by order code; several named together as well."""
    said: list[tuple[OpenBill, int, str]] = []
    for bill in bills:
        for sure, words in _names_it(line, bill):
            said.append((bill, sure, words))
            break
    said = _longest_only(line, said)
    proposals = [_one(line, bill, sure, words) for bill, sure, words in said]
    if len(said) > 1:
        named = [bill for bill, _, _ in said]
        total = sum((bill.owed for bill in named), Decimal(0))
        exact = total == line.amount
        words = "All of these are named" + (
            " and come to exactly this sum." if exact else "; the sum differs."
        )
        proposals.append(Proposal(_laid_out(line.amount, named), words, 99 if exact else 60))
    return proposals


def _names_it(line: Line, bill: OpenBill) -> Iterable[tuple[int, str]]:
    field, text = _packed(line.reference), _packed(f"{line.reference} {line.text}")
    words = f" {_spaced(line.reference)} {_spaced(line.text)} "
    for reference in bill.references:
        if field == reference:
            yield 90, f"The payment reference {reference} is its own."
        if reference in text:
            yield 88, f"The payment reference {reference} stands in the text."
    for number in bill.numbers:
        if _stands_in(number, words):
            yield 80, f"The number {number} stands in the text."
    if _stands_in(bill.order, words):
        yield 78, f"The order code {bill.order} stands in the text."


def _longest_only(line: Line, said: list[tuple[OpenBill, int, str]]) -> list[tuple[OpenBill, int, str]]:
    """Of two references one of which begins with the other, the text can only mean the longer."""
    text = _packed(f"{line.reference} {line.text}")
    found = [ref for bill, _, _ in said for ref in bill.references if ref in text]
    shadowed = {one for one in found for other in found if one != other and other.startswith(one)}
    return [row for row in said if not (row[1] in (88, 90) and set(row[0].references) & shadowed)]


def _one(line: Line, bill: OpenBill, sure: int, words: str) -> Proposal:
    share = Share(bill.order, line.amount, bill.purpose)
    gap = line.amount - bill.owed
    if gap == 0:
        return Proposal((share,), f"{words} The amount fits.", sure + 8)
    if gap < 0:
        return Proposal((share,), f"{words} A part: {-gap} would stay owed.", sure)
    over = f"{gap} more than is owed." if bill.owed > 0 else "Nothing is owed there any more."
    return Proposal((share,), f"{words} {over}", sure - 6)


def _by_amount(line: Line, bills: Sequence[OpenBill]) -> list[Proposal]:
    """Without a word of which bill: by amount and name."""
    same = [bill for bill in bills if bill.owed == line.amount]
    proposals = []
    for bill in bills:
        alike = max((likeness(line.name, name) for name in bill.names), default=0.0)
        if bill.owed == line.amount and alike >= ALIKE:
            words, sure = "Name and amount fit.", 70 if len(same) == 1 else 64
        elif bill.owed == line.amount:
            words = (
                "Only the amount fits."
                if len(same) == 1
                else f"The amount fits, as with {len(same) - 1} more."
            )
            sure = 40 if len(same) == 1 else 20
        elif alike >= ALIKE and bill.owed > 0:
            gap = line.amount - bill.owed
            words = f"The name fits; {abs(gap)} {'more than is owed' if gap > 0 else 'would stay owed'}."
            sure = 24 if gap < 0 else 22
        else:
            continue
        proposals.append(Proposal((Share(bill.order, line.amount, bill.purpose),), words, sure))
    return proposals


def _together(line: Line, bills: Sequence[OpenBill]) -> list[Proposal]:
    """Several bills of one payer that come to exactly this sum."""
    by_payer: dict[str, list[OpenBill]] = {}
    for bill in bills:
        if bill.payer and bill.owed > 0:
            by_payer.setdefault(bill.payer, []).append(bill)
    proposals = []
    for own in by_payer.values():
        alike = max((likeness(line.name, name) for bill in own for name in bill.names), default=0.0) >= ALIKE
        for chosen in _sets(own):
            if sum((bill.owed for bill in chosen), Decimal(0)) == line.amount:
                words = f"{len(chosen)} bills of one customer come to exactly this sum."
                words += " The name fits." if alike else ""
                proposals.append(Proposal(_laid_out(line.amount, chosen), words, 66 if alike else 30))
    return proposals


def _sets(own: Sequence[OpenBill]) -> Iterable[Sequence[OpenBill]]:
    """Sets of two and more: every one of few bills, else only the oldest so many."""
    if len(own) > MOST_TOGETHER:
        return (own[:size] for size in range(2, len(own) + 1))
    return itertools.chain.from_iterable(itertools.combinations(own, size) for size in range(2, len(own) + 1))


def _laid_out(amount: Decimal, bills: Sequence[OpenBill]) -> tuple[Share, ...]:
    """The oldest bill first, each up to what it owes; what is over goes to the last."""
    shares, left = [], amount
    for bill in bills:
        given = min(left, max(bill.owed, Decimal(0)))
        if given > 0:
            shares.append(Share(bill.order, given, bill.purpose))
            left -= given
    if left > 0:
        last = shares.pop() if shares else Share(bills[-1].order, Decimal(0), bills[-1].purpose)
        shares.append(Share(last.order, last.amount + left, last.purpose))
    return tuple(shares)


def _packed(text: str) -> str:
    return re.sub("[^0-9A-Z]", "", _plain(text).upper())


def _spaced(text: str) -> str:
    return " ".join(re.sub("[^0-9A-Z]", " ", _plain(text).upper()).split())


def _stands_in(number: str, words: str) -> bool:
    """True where the number stands in the words by itself, whatever signs and blanks divide it."""
    signs = re.sub("[^0-9A-Z]", "", number.upper())
    return bool(signs) and re.search(rf"(?<![0-9A-Z]){' ?'.join(signs)}(?![0-9A-Z])", words) is not None


@lru_cache(maxsize=4096)
def _plain(text: str) -> str:
    folded = unicodedata.normalize("NFKD", text.replace("ß", "ss").replace("ø", "o").replace("ł", "l"))
    return "".join(sign for sign in folded if not unicodedata.combining(sign))


@lru_cache(maxsize=4096)
def _name(text: str) -> str:
    """Words of a name in order, without accents, single letters and titles."""
    words = re.sub("[^0-9a-z]+", " ", _plain(text).casefold()).split()
    left_out = {"mr", "mrs", "ms", "dr", "ltd", "inc", "llc", "gmbh", "co", "the"}
    return " ".join(sorted(word for word in words if len(word) > 1 and word not in left_out)) or " ".join(
        sorted(words)
    )
