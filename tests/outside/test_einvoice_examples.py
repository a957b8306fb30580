"""Published example invoices pass our own sums to the cent, and a cent more or less does not.

Source: ConnectingEurope/eInvoicing-EN16931, files ubl-tc434-example8 (A), 2 (B), 9 (E), 1 (F, by its tax groups: the lines
were not seen one by one); Peppol BIS Billing 3.0, files Allowance-example (C), base-example and Vat-category-S (D),
sample-discount-price (G); H is a worked pair of an open-source program's wiki (secondary copy). Example 2's first line is
known to break quantity times price, so its net is taken as given. Rounding amount: 999.81 payable as 1000, Peppol guide.
"""

from dataclasses import replace
from datetime import date
from decimal import Decimal as D

import pytest

from quotes.einvoice.arithmetic import wrong_with
from quotes.einvoice.cii import cii_xml
from quotes.einvoice.facts import Group, InvoiceFacts, Item, LineFacts
from quotes.einvoice.ubl import ubl_xml
from tests.einvoice_samples import BUYER, REASONS, SELLER
from tests.schematron import checked

# line: quantity, price, per, category, percent, net [, allowance, charge]; less and plus: amount, category, percent;
# tax: category, percent, base, tax; sums: 106 107 108 109 110 112 113 114 115
FILES = {
    "A": """EUR
        line 16000 0.00880 1 S 21 140.80
        line 16000 0.00101 1 S 21 16.16
        line 132 15.24 12 S 21 167.64
        line 58 1.53 1 S 21 88.74
        line 1 441.00 12 S 21 36.75
        line 1 678.00 12 S 21 56.50
        line 1 83.34 1 S 21 83.34
        line 1 190.31 1 S 21 190.31
        line 1 64.21 1 S 21 64.21
        line 1 64.46 1 S 21 64.46
        tax S 21 908.91 190.87
        sums 908.91 0 0 908.91 190.87 1099.78 0 0 1099.78""",
    "B": """NOK
        line 1 1273.00 1 S 25 1273.00
        line -1 3.96 1 S 15 -3.96
        line 1 4.96 1 S 15 4.96
        line -1 25.00 1 E 0 -25.00
        line 1 187.50 1 S 25 187.50
        less 100.00 S 25
        plus 100.00 S 25
        tax S 25 1460.50 365.13
        tax S 15 1.00 0.15
        tax E 0 -25.00 0.00
        sums 1436.50 100.00 100.00 1436.50 365.28 1801.78 1000.00 0 801.78""",
    "C": """EUR
        line 10 410 1 S 25 4000.00 101 1
        line 10 200 2 E 0 1000.00
        line 10 100 1 S 25 900.00 101 1
        less 200 S 25
        plus 200 S 25
        tax S 25 4900.00 1225.00
        tax E 0 1000.00 0.00
        sums 5900.00 200 200 5900.00 1225.00 7125.00 1000.00 0 6125.00""",
    "D base": """EUR
        line 7 400 1 S 25 2800.00
        line -3 500 1 S 25 -1500.00
        plus 25 S 25
        tax S 25 1325.00 331.25
        sums 1300.00 0 25 1325.00 331.25 1656.25 0 0 1656.25""",
    "D categories": """EUR
        line 1 4000 1 S 25 4000.00
        line 1 900 1 S 25 900.00
        line 1 2000 1 S 15 2000.00
        less 100 S 25
        plus 200 S 25
        tax S 25 5000.00 1250.00
        tax S 15 2000.00 300.00
        sums 6900.00 100 200 7000.00 1550.00 8550.00 0 0 8550.00""",
    "E": """EUR
        line 3 49.00 1 S 21 147.00
        tax S 21 147.00 30.87
        sums 147.00 0 0 147.00 30.87 177.87 0 0 177.87""",
    "F": """EUR
        line 1 183.23 1 S 6 183.23
        line 1 46.37 1 S 21 46.37
        tax S 6 183.23 10.99
        tax S 21 46.37 9.74
        sums 229.60 0 0 229.60 20.73 250.33 0 0 250.33""",
    "G": """EUR
        line 100 0.1212 1 S 25 12.12
        tax S 25 12.12 3.03
        sums 12.12 0 0 12.12 3.03 15.15 0 0 15.15""",
    "H": """EUR
        line 1 1.24 1 S 10 1.24
        line 1 1.24 1 S 10 1.24
        tax S 10 2.48 0.25
        sums 2.48 0 0 2.48 0.25 2.73 0 0 2.73""",
    "rounding amount": """EUR
        line 1 999.81 1 Z 0 999.81
        tax Z 0 999.81 0.00
        sums 999.81 0 0 999.81 0.00 999.81 0 0.19 1000.00""",
}


def read(text: str) -> InvoiceFacts:
    currency, *rows = [row.split() for row in text.splitlines()]
    lines, less, plus, groups, sums = [], [], [], [], []
    for kind, *row in rows:
        if kind == "line":
            quantity, price, per, category, percent, net, *more = row
            allowance, charge = (D(text) for text in more or ("0", "0"))
            lines.append(
                LineFacts(
                    str(len(lines) + 1), "line", D(quantity), D(price), D(net), category, D(percent), D(per),
                    allowance=allowance, charge=charge,
                )
            )  # fmt: skip
        elif kind in ("less", "plus"):
            (less if kind == "less" else plus).append(Item("item", D(row[0]), row[1], D(row[2])))
        elif kind == "tax":
            groups.append(Group(row[0], D(row[1]), D(row[2]), D(row[3]), REASONS.get(row[0], "")))
        else:
            sums = [D(amount) for amount in row]
    line_sum, taken, put, net, tax, total, prepaid, rounding, payable = sums
    return InvoiceFacts(
        "EX-1", "invoice", date(2026, 2, 9), currency[0], SELLER, BUYER, tuple(lines), tuple(groups), line_sum, net, tax,
        total, payable, tuple(less), tuple(plus), taken, put, prepaid, rounding, due=date(2026, 2, 23),
    )  # fmt: skip


@pytest.mark.parametrize("name", FILES)
def test_published_file_adds_up(name: str) -> None:
    assert wrong_with(read(FILES[name])) == []


@pytest.mark.parametrize("cent", ["0.01", "-0.01"])
@pytest.mark.parametrize("name", FILES)
def test_published_file_with_another_cent_of_tax_does_not(name: str, cent: str) -> None:
    facts = read(FILES[name])
    first = replace(facts.groups[0], tax=facts.groups[0].tax + D(cent))
    more = replace(
        facts, groups=(first, *facts.groups[1:]), tax=facts.tax + D(cent), total=facts.total + D(cent),
        payable=facts.payable + D(cent),
    )  # fmt: skip
    assert [sentence for sentence in wrong_with(more) if sentence.startswith("Tax of")]


@pytest.mark.parametrize("name", FILES)
def test_published_file_with_another_cent_on_a_line_does_not(name: str) -> None:
    facts = read(FILES[name])
    first = replace(facts.lines[0], net=facts.lines[0].net + D("0.01"))
    wrong = wrong_with(replace(facts, lines=(first, *facts.lines[1:])))
    assert any(sentence.startswith("Line 1") for sentence in wrong)


def test_published_files_written_by_us_pass_the_official_rules() -> None:
    documents = [(sheet, write(read(text))) for text in FILES.values() for sheet, write in WRITERS]
    assert {verdict.failed for verdict in checked(documents)} == {()}


WRITERS = (("cii", cii_xml), ("ubl", ubl_xml))


@pytest.mark.parametrize(("rule", "tax"), [("line", "0.24"), ("document", "0.25")])
def test_pair_h_tells_the_two_levels_apart(rule: str, tax: str) -> None:
    facts = replace(read(FILES["H"]), tax_rule=rule)
    group = replace(facts.groups[0], tax=D(tax))
    total = D("2.48") + D(tax)
    mine = replace(facts, groups=(group,), tax=D(tax), total=total, payable=total)
    assert wrong_with(mine) == []
    other = replace(mine, tax_rule="document" if rule == "line" else "line")
    assert wrong_with(other)
