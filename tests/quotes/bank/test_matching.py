"""Proposals: each says why, none lays out more or less than the movement, and the order of the bills is no matter.

Reference RF18539007547034: example of ISO 11649.
"""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.codes import payment_reference
from quotes.bank.matching import Line, OpenBill, Proposal, Share, likeness, propose, references_in

REFERENCE = "RF18539007547034"


def bill(
    order: str,
    owed: str,
    *,
    payer: str = "1",
    name: str = "Mara Ellwick",
    number: str = "",
    ref: str = "",
    **other,
):
    return OpenBill(
        due=other.pop("due", "2026-02-01"),
        order=order,
        purpose=other.pop("purpose", "bill"),
        owed=Decimal(owed),
        payer=payer,
        names=(name,),
        numbers=(number,) if number else (),
        references=(ref,) if ref else (),
    )


MARA = bill("K7M4-3TX9", "112.32", number="INV-00012", ref=REFERENCE)
OTHER = bill("C3D4-F6H7", "50.00", payer="2", name="Stallmere Phones", number="INV-00013")


def best(line: Line, *bills: OpenBill) -> Proposal:
    return propose(line, bills)[0]


@pytest.mark.parametrize(
    ("reference", "text"),
    [
        (REFERENCE, ""),
        ("rf18 5390 0754 7034", ""),
        ("", f"invoice {REFERENCE} thanks"),
        ("", "Rf18-5390-0754-7034"),
        ("", "rf185390 07547034thanks"),
    ],
)
def test_reference_is_found_in_its_field_and_anywhere_in_the_text(reference: str, text: str) -> None:
    found = best(Line(Decimal("112.32"), "Nobody Known", reference, text), OTHER, MARA)
    assert found.shares == (Share("K7M4-3TX9", Decimal("112.32")),)
    assert found.sure > 90
    assert "reference" in found.why and "The amount fits" in found.why


@pytest.mark.parametrize(
    "text", ["INV-00012", "inv 00012", "Rechnung INV00012.", "bill K7M4-3TX9", "k7m4 3tx9", "K7M43TX9"]
)
def test_number_and_order_code_are_found_however_they_are_divided(text: str) -> None:
    assert best(Line(Decimal("112.32"), "", "", text), OTHER, MARA).order == "K7M4-3TX9"


@pytest.mark.parametrize("text", ["INV-000123", "XINV-00012", "INV-0001 4"])
def test_number_within_a_longer_one_is_not_it(text: str) -> None:
    assert all("number" not in one.why for one in propose(Line(Decimal("7.00"), "", "", text), [OTHER, MARA]))


def test_wrong_check_digits_are_no_reference() -> None:
    assert references_in(Line(Decimal(1), "", "RF19539007547034", "")) == []
    assert REFERENCE in references_in(Line(Decimal(1), "", "", "please rf18 5390 0754 7034"))


def test_longer_reference_hides_the_one_it_begins_with() -> None:
    short = bill("AAAA-AAAA", "5.00", ref="RF12AB")
    long = bill("CCCC-CCCC", "5.00", ref="RF12ABC")
    found = propose(Line(Decimal("5.00"), "", "RF12ABC", ""), [short, long])
    assert found[0].order == "CCCC-CCCC"
    assert all(
        "reference" not in one.why for one in found if one.order == "AAAA-AAAA" and len(one.shares) == 1
    )


def test_part_and_over_are_said_with_the_difference() -> None:
    assert "A part: 12.32 would stay owed" in best(Line(Decimal("100.00"), "", REFERENCE, ""), MARA).why
    assert "7.68 more than is owed" in best(Line(Decimal("120.00"), "", REFERENCE, ""), MARA).why
    paid = bill("K7M4-3TX9", "0.00", ref=REFERENCE)
    assert "Nothing is owed there" in best(Line(Decimal("5.00"), "", REFERENCE, ""), paid).why


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("Mara Ellwick", "ELLWICK, MARA"), ("Bertil Okané", "bertil okane"), ("Stallmere Phones Ltd", "Stallmere Phones"),
        ("Mrs Mara Ellwick", "Mara Elwick"), ("Jürgen Groß", "JURGEN GROSS"),
    ],
)  # fmt: skip
def test_names_are_alike_without_accents_titles_and_order(one: str, other: str) -> None:
    assert likeness(one, other) >= 0.82


@pytest.mark.parametrize(("one", "other"), [("Mara Ellwick", "Bertil Okané"), ("", "Mara"), ("Mr", "")])
def test_other_names_are_not_alike(one: str, other: str) -> None:
    assert likeness(one, other) < 0.82


def test_name_and_amount_beat_amount_alone() -> None:
    twin = bill("D4E6-F7H3", "112.32", payer="3", name="Bertil Okané")
    found = propose(Line(Decimal("112.32"), "M. Ellwick Mara", "", "repair"), [twin, MARA])
    assert [one.order for one in found[:2]] == ["K7M4-3TX9", "D4E6-F7H3"]
    assert "as with 1 more" in found[1].why


def test_several_bills_of_one_payer_that_come_to_the_sum() -> None:
    bills = [
        bill(f"AAAA-000{n}", f"{n}0.00", payer="9", name="Stallmere Phones", due=f"2026-02-0{n}")
        for n in range(1, 5)
    ]
    found = best(Line(Decimal("60.00"), "STALLMERE PHONES", "", ""), *bills, MARA)
    assert {share.order for share in found.shares} in (
        {"AAAA-0001", "AAAA-0002", "AAAA-0003"},
        {"AAAA-0002", "AAAA-0004"},
    )
    assert "come to exactly this sum" in found.why


def test_bills_named_together_take_the_sum_between_them() -> None:
    line = Line(Decimal("162.32"), "", "", "INV-00012, INV-00013")
    assert best(line, OTHER, MARA).shares == (
        Share("C3D4-F6H7", Decimal("50.00")),
        Share("K7M4-3TX9", Decimal("112.32")),
    )
    short = propose(Line(Decimal("100.00"), "", "", "INV-00012, INV-00013"), [OTHER, MARA])
    assert any(
        one.shares == (Share("C3D4-F6H7", Decimal("50.00")), Share("K7M4-3TX9", Decimal("50.00")))
        for one in short
    )


def test_deposit_is_proposed_as_one() -> None:
    deposit = bill("K7M4-3TX9", "30.00", purpose="deposit", ref=payment_reference("K7M4-3TX9"))
    found = best(Line(Decimal("30.00"), "", payment_reference("K7M43TX9"), ""), deposit)
    assert found.shares == (Share("K7M4-3TX9", Decimal("30.00"), "deposit"),)


@pytest.mark.parametrize("amount", ["0", "-5.00"])
def test_money_that_went_pays_no_bill(amount: str) -> None:
    assert propose(Line(Decimal(amount), "Mara Ellwick", REFERENCE, ""), [MARA]) == []


cents = st.decimals(Decimal("0.01"), Decimal("300.00"), places=2)
people = st.sampled_from(["Mara Ellwick", "Bertil Okané", "Stallmere Phones", ""])
open_ones = st.lists(
    st.builds(
        OpenBill,
        due=st.sampled_from(["2026-01-01", "2026-02-01"]),
        order=st.integers(0, 30).map(lambda n: f"CODE-{n:04d}"),
        purpose=st.sampled_from(["bill", "deposit"]),
        owed=st.one_of(cents, st.sampled_from([Decimal("0.00"), Decimal("10.00"), Decimal("20.00")])),
        payer=st.sampled_from(["", "1", "2"]),
        names=st.tuples(people),
        numbers=st.integers(1, 20).map(lambda n: (f"INV-{n:05d}",)),
        references=st.integers(1, 20).map(lambda n: (payment_reference(f"INV{n:05d}"),)),
    ),
    max_size=16,
    unique_by=lambda one: (one.order, one.purpose),
)
lines = st.builds(
    Line,
    amount=st.one_of(cents, st.sampled_from([Decimal("10.00"), Decimal("30.00"), Decimal("60.00")])),
    name=people,
    reference=st.one_of(st.just(""), st.integers(1, 20).map(lambda n: payment_reference(f"INV{n:05d}"))),
    text=st.one_of(
        st.just(""),
        st.integers(1, 20).map(lambda n: f"bill INV-{n:05d} and INV-{n + 1:05d}"),
        st.text(max_size=30),
    ),
)


@given(line=lines, bills=open_ones, data=st.data())
def test_proposals_lay_out_exactly_the_movement_whatever_order_the_bills_come_in(line, bills, data) -> None:
    found = propose(line, bills)
    assert len(found) <= 5
    for proposal in found:
        assert proposal.amount == line.amount
        assert all(share.amount > 0 for share in proposal.shares)
        assert len({(share.order, share.purpose) for share in proposal.shares}) == len(proposal.shares)
        assert proposal.why.endswith(".")
    assert [one.sure for one in found] == sorted((one.sure for one in found), reverse=True)
    assert propose(line, data.draw(st.permutations(bills))) == found
