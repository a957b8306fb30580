"""What makes an invoice electronic, told in sentences that an owner can act on."""

from dataclasses import replace
from datetime import date
from decimal import Decimal as D

import pytest

from quotes.einvoice.arithmetic import bases_of, wrong_with
from quotes.einvoice.facts import Group, InvoiceFacts, Item, Party
from tests.einvoice_samples import BUYER, SELLER, TRADE, credit, invoice, line, samples

SAMPLES = dict(samples())
PLAIN = SAMPLES["S EUR"]
BARE = replace(SELLER, tax_number="")


@pytest.mark.parametrize(
    ("facts", "sentence"),
    [
        (replace(PLAIN, number=""), "The invoice has no number."),
        (replace(PLAIN, seller=replace(SELLER, name=" ")), "The shop's name is missing in the settings."),
        (
            replace(PLAIN, seller=replace(SELLER, country="")),
            "The shop's country is missing in the settings.",
        ),
        (
            replace(PLAIN, buyer=replace(BUYER, country="")),
            "The customer's country is missing on the invoice.",
        ),
        (
            replace(PLAIN, buyer=replace(BUYER, country="ZZ")),
            "The customer's country 'ZZ' is not in the list",
        ),
        (replace(PLAIN, seller=BARE), "The shop's tax number is missing in the settings."),
        (replace(PLAIN, due=None), "The day by which it is to be paid is missing."),
        (replace(PLAIN, currency="EUX"), "The currency EUX is not known to electronic invoices."),
        (replace(credit(PLAIN), credit_of=None), "A credit note must name the invoice that it credits."),
        (replace(SAMPLES["AE EUR"], buyer=BUYER), "The customer's tax number is missing on the invoice."),
        (
            replace(SAMPLES["K EUR"], buyer=replace(TRADE, tax_number="12345")),
            "The customer's tax number, with its country's letters",
        ),
        (replace(SAMPLES["K EUR"], supplied=None), "needs the day of the delivery"),
        (
            replace(SAMPLES["G EUR"], seller=replace(SELLER, tax_number="12/345")),
            "must begin with its country's letters",
        ),
        (replace(PLAIN, lines=()), "An electronic invoice needs a line that is not a reduction."),
        (replace(PLAIN, payable=D("NaN")), "What is to pay is no exact number."),
        (replace(PLAIN, allowances=(Item("Goodwill", D("-5"), "S", D(19)),)), "“Goodwill” is below nought."),
    ],
)
def test_what_is_missing_is_said(facts: InvoiceFacts, sentence: str) -> None:
    assert any(sentence in said for said in wrong_with(facts)), wrong_with(facts)


@pytest.mark.parametrize("category", ["E", "AE", "K", "G", "O"])
def test_no_tax_needs_its_reason(category: str) -> None:
    facts = SAMPLES[f"{category} EUR"]
    silent = replace(facts, groups=tuple(replace(group, reason=" ") for group in facts.groups))
    assert any("The reason why there is no tax" in said for said in wrong_with(silent))


@pytest.mark.parametrize("category", ["Z", "E", "AE", "K", "G", "O"])
def test_no_tax_has_no_rate(category: str) -> None:
    facts = SAMPLES[f"{category} EUR"]
    rated = invoice(
        tuple(replace(row, percent=D(19)) for row in facts.lines), seller=facts.seller, buyer=facts.buyer
    )
    assert any("does not go with the tax kind" in said for said in wrong_with(rated))


def test_standard_rate_is_above_nought() -> None:
    facts = invoice((line(1, "1", "85.00", "S", "EUR", percent=D(0)),))
    assert "The standard rate must be above nought." in wrong_with(facts)


def test_outside_the_scope_stands_alone() -> None:
    facts = invoice((line(1, "1", "85.00", "S", "EUR"), line(2, "1", "5.00", "O", "EUR")))
    assert any("cannot stand beside" in said for said in wrong_with(facts))


def test_third_digit_of_a_dinar_is_refused_in_words() -> None:
    facts = invoice((line(1, "1", "12.345", "Z", "KWD"),), currency="KWD")
    said = wrong_with(facts)
    assert any("12.345: an electronic invoice holds 2 digits" in sentence for sentence in said)


def test_group_that_no_line_names_is_found() -> None:
    more = (*PLAIN.groups, Group("Z", D(0), D(0), D(0)))
    assert any("exactly once" in said for said in wrong_with(replace(PLAIN, groups=more)))
    twice = (*PLAIN.groups, *PLAIN.groups)
    assert any("exactly once" in said for said in wrong_with(replace(PLAIN, groups=twice)))


def test_base_is_lines_less_allowances_plus_charges() -> None:
    assert bases_of(PLAIN) == {("S", D(19)): PLAIN.net}
    wrong = replace(PLAIN.groups[0], base=PLAIN.net + 1)
    assert any("its lines add up to" in said for said in wrong_with(replace(PLAIN, groups=(wrong,))))


def _inclusive(gross: str, percent: str) -> InvoiceFacts:
    """A price that holds its tax, split as a shop of such prices splits it."""
    total, rate = D(gross), D(percent)
    tax = (total * rate / (100 + rate)).quantize(D("0.01"))
    row = replace(line(1, "1", gross, "S", "EUR", percent=rate), price=total - tax, net=total - tax)
    facts = invoice((row,), tax_rule="inclusive")
    group = replace(facts.groups[0], tax=tax)
    return replace(facts, groups=(group,), tax=tax, total=total, payable=total)


def test_prices_with_tax_in_them_may_differ_by_their_own_rounding_only() -> None:
    for cents in range(100, 400):
        facts = _inclusive(f"{D(cents) / 100}", "20")
        assert wrong_with(facts) == [], cents
        off = replace(facts.groups[0], tax=facts.tax + D("0.02"))
        more = replace(
            facts, groups=(off,), tax=off.tax, total=facts.net + off.tax, payable=facts.net + off.tax
        )
        assert wrong_with(more), cents


def test_a_party_without_a_street_is_enough() -> None:
    assert wrong_with(replace(PLAIN, buyer=Party("Mara Ellwick", "GB"), due=date(2026, 3, 1))) == []
