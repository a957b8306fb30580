"""Source: official example invoices ubl-tc434-example1 and 2 of EN 16931 (ConnectingEurope/eInvoicing-EN16931), and
Allowance-example, base-example, base-negative-inv-correction and Vat-category-S of the Peppol BIS 3 guide.

Known to be wrong, and so not used for quantity x price: line 20 of example1 (6 x 18.33 gives -109.98 there) and line 1 of
example2 (2 x 1273.00 gives 1273.00 there). Their nets are taken as given; the totals of both files are right.
"""

from decimal import Decimal as D

from quotes.pricing import DocumentItem, LineInput, Policy, price


def policy(currency="EUR", **more):
    return Policy(currency, D(0), D(0), {}, D(0), D(0), **more)


def line(unit_price, rate, quantity="1", per="1", **more):
    return LineInput("fee", "line", D(quantity), D(unit_price), per=D(per), tax_percent=D(rate), **more)


def item(amount, rate):
    return DocumentItem("item", D(amount), tax_percent=D(rate))


def sums(priced):
    """BT-106, 107, 108, 109, 110, 112."""
    return tuple(
        str(amount)
        for amount in (
            priced.line_sum, priced.allowance_sum, priced.charge_sum, priced.net, priced.tax, priced.total,
        )
    )  # fmt: skip


def groups(priced):
    return [(one.category, str(one.rate), str(one.base), str(one.tax)) for one in priced.tax_groups]


def test_file_b_with_its_allowance_and_charge_on_the_document():
    priced = price(
        [
            line("1273.00", "25"),
            line("-3.96", "15"),
            line("4.96", "15"),
            line("-25.00", "0", tax_category="E"),
            line("187.50", "25"),
        ],
        policy("NOK"),
        allowances=[item("100.00", "25")],
        charges=[item("100.00", "25")],
    )
    assert sums(priced) == ("1436.50", "100.00", "100.00", "1436.50", "365.28", "1801.78")
    assert groups(priced) == [
        ("E", "0", "-25.00", "0.00"),
        ("S", "15", "1.00", "0.15"),
        ("S", "25", "1460.50", "365.13"),
    ]
    assert priced.payable - D("1000.00") == D("801.78")


def test_file_c_with_allowances_and_charges_on_line_and_document():
    priced = price(
        [
            # The price is 450 less 40 (BT-148 less BT-147).
            line("410", "25", "10", charge=D(1), allowance=D(101)),
            line("200", "0", "10", "2", tax_category="E"),
            line("100", "25", "10", charge=D(1), allowance=D(101)),
        ],
        policy(),
        charges=[DocumentItem("Freight", percent=D(20), base=D(1000), tax_percent=D(25))],
        allowances=[item("200", "25")],
    )
    assert [str(one.net) for one in priced.lines] == ["4000.00", "1000.00", "900.00"]
    assert [(str(one.charge), str(one.allowance)) for one in priced.lines] == [
        ("1.00", "101.00"),
        ("0.00", "0.00"),
        ("1.00", "101.00"),
    ]
    assert sums(priced) == ("5900.00", "200.00", "200.00", "5900.00", "1225.00", "7125.00")
    assert groups(priced) == [("E", "0", "1000.00", "0.00"), ("S", "25", "4900.00", "1225.00")]
    assert priced.payable - 1000 == D("6125.00")


def test_file_d_and_its_exact_mirror():
    lines = [line("400", "25", "7"), line("-500", "25", "3")]
    priced = price(lines, policy(), charges=[item("25", "25")])
    assert sums(priced) == ("1300.00", "0.00", "25.00", "1325.00", "331.25", "1656.25")
    mirror = price([line("-400", "25", "7"), line("500", "25", "3"), line("-25", "25")], policy())
    assert (mirror.net, mirror.tax, mirror.total) == (D("-1325.00"), D("-331.25"), D("-1656.25"))


def test_file_d_two_rates_with_allowance_and_charge():
    priced = price(
        [line("4000", "25"), line("2000", "15"), line("900", "25")],
        policy(),
        charges=[item("200", "25")],
        allowances=[item("100", "25")],
    )
    assert groups(priced) == [("S", "15", "2000.00", "300.00"), ("S", "25", "5000.00", "1250.00")]
    assert priced.total == D("8550.00")


FILE_F = [
    ("2", "9.95", "6", "19.90"),
    ("1", "9.85", "6", "9.85"),
    ("1", "8.29", "6", "8.29"),
    ("2", "7.23", "6", "14.46"),
    ("1", "35.00", "6", "35.00"),
    ("1", "35.00", "6", "35.00"),
    ("1", "10.65", "6", "10.65"),
    ("1", "1.55", "6", "1.55"),
    ("3", "4.79", "6", "14.37"),
    ("1", "8.29", "6", "8.29"),
    ("2", "8.29", "6", "16.58"),
    ("1", "9.95", "6", "9.95"),
    ("2", "1.65", "6", "3.30"),
    ("1", "10.80", "21", "10.80"),
    ("1", "3.90", "6", "3.90"),
    ("2", "3.80", "21", "7.60"),
    ("2", "4.67", "21", "9.34"),
    ("1", "18.63", "21", "18.63"),
    ("6", "17.02", "6", "102.12"),
    ("1", "-109.98", "6", "-109.98"),
]


def test_file_f_twenty_lines_at_both_levels():
    for rounding in ("document", "line"):
        priced = price(
            [line(unit, rate, quantity) for quantity, unit, rate, _ in FILE_F], policy(rounding=rounding)
        )
        assert [str(one.net) for one in priced.lines] == [net for *_, net in FILE_F]
        assert sums(priced) == ("229.60", "0.00", "0.00", "229.60", "20.73", "250.33")
        assert groups(priced) == [("S", "6", "183.23", "10.99"), ("S", "21", "46.37", "9.74")]


def test_an_amount_that_is_payable_rounded():
    """Peppol BIS 3 guide, rounding: 999.81 is payable as 1000, so the rounding amount (BT-114) is 0.19."""
    priced = price([line("999.81", "0")], policy(cash_step=D(1)))
    assert (str(priced.rounding), str(priced.payable), str(priced.total)) == ("0.19", "1000.00", "999.81")
