"""Source: official example invoices of EN 16931 (ConnectingEurope/eInvoicing-EN16931, ubl-tc434-example8, 2, 9 and
sample-discount-price) and of the Peppol BIS 3 guide (Allowance-example). Pair H: worked pair of an open-source program's
wiki (secondary copy). Example 2's first line breaks quantity x price, so its line nets are taken as given.
"""

from decimal import Decimal as D

import pytest

from quotes.pricing import LineInput, Policy, price


def priced(lines, rounding="document", currency="EUR", **more):
    policy = Policy(currency, D(0), D(0), {}, D(0), D(0), rounding=rounding, **more)
    return price(lines, policy)


def line(net_or_price, rate, quantity="1", per="1"):
    return LineInput("fee", "line", D(quantity), D(net_or_price), per=D(per), tax_percent=D(rate))


FILE_A = [
    ("16000", "0.00880", "1", "140.80"),
    ("16000", "0.00101", "1", "16.16"),
    ("132", "15.24", "12", "167.64"),
    ("58", "1.53", "1", "88.74"),
    ("1", "441.00", "12", "36.75"),
    ("1", "678.00", "12", "56.50"),
    ("1", "83.34", "1", "83.34"),
    ("1", "190.31", "1", "190.31"),
    ("1", "64.21", "1", "64.21"),
    ("1", "64.46", "1", "64.46"),
]


def test_file_a_prices_of_many_decimals_and_tax_on_the_document():
    sums = priced([line(unit, "21", quantity, per) for quantity, unit, per, _ in FILE_A])
    assert [str(one.net) for one in sums.lines] == [net for *_, net in FILE_A]
    assert (sums.net, sums.tax, sums.total) == (D("908.91"), D("190.87"), D("1099.78"))


def test_file_a_line_by_line_gives_another_cent():
    sums = priced([line(unit, "21", quantity, per) for quantity, unit, per, _ in FILE_A], rounding="line")
    assert sums.tax == D("190.88")


FILE_B = [
    line("1273.00", "25"),
    line("-3.96", "15"),
    line("4.96", "15"),
    line("-25.00", "0"),
    line("187.50", "25"),
    line("-100.00", "25"),
    line("100.00", "25"),
]


def test_file_b_half_a_cent_goes_up():
    sums = priced(FILE_B, currency="NOK")
    assert [(one.rate, one.base, one.tax) for one in sums.tax_groups] == [
        (0, D("-25.00"), D("0.00")),
        (15, D("1.00"), D("0.15")),
        (25, D("1460.50"), D("365.13")),
    ]
    assert (sums.net, sums.tax, sums.total) == (D("1436.50"), D("365.28"), D("1801.78"))
    assert sums.total - D("1000.00") == D("801.78")


def test_file_c_price_base_and_allowances():
    lines = [
        line("410", "25", "10"),
        line("1", "25"),
        line("-101", "25"),
        line("200", "0", "10", "2"),
        line("100", "25", "10"),
        line("1", "25"),
        line("-101", "25"),
        line("200", "25"),
        line("-200", "25"),
    ]
    sums = priced(lines)
    assert sum(one.net for one in sums.lines[:3]) == D("4000.00")
    assert sums.lines[3].net == D("1000.00")
    assert sum(one.net for one in sums.lines[4:7]) == D("900.00")
    assert [(one.base, one.tax) for one in sums.tax_groups] == [(1000, 0), (4900, 1225)]
    assert (sums.net, sums.total, sums.total - 1000) == (D("5900.00"), D("7125.00"), D("6125.00"))


def test_file_e():
    sums = priced([line("49.00", "21", "3")])
    assert (sums.net, sums.tax, sums.total) == (D("147.00"), D("30.87"), D("177.87"))


def test_file_g():
    sums = priced([line("0.1212", "25", "100")])
    assert (sums.net, sums.tax, sums.total) == (D("12.12"), D("3.03"), D("15.15"))


@pytest.mark.parametrize(("rounding", "tax"), [("line", "0.24"), ("document", "0.25")])
def test_pair_h_tells_the_two_levels_apart(rounding, tax):
    assert priced([line("1.24", "10"), line("1.24", "10")], rounding=rounding).tax == D(tax)
