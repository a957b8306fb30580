"""Nothing leaves unpaid, in quarantine or in dispute; the table of all cases."""

import itertools
from decimal import Decimal

import pytest

from shop.returns.gate_rule import weight_doubt, why_not

FREE = {
    "at_goods_out": True,
    "slips": set(),
    "owed": Decimal(0),
    "currency": "GBP",
    "let_go": False,
    "on_account": False,
}


@pytest.mark.parametrize(
    ("changes", "start"),
    [
        ({}, ""),
        ({"at_goods_out": False}, "It is not at goods out."),
        ({"slips": {"quarantine"}}, "Its battery is in quarantine."),
        ({"slips": {"in dispute"}}, "It is in dispute."),
        ({"slips": {"for the customer", "for payment", "lost in the post"}}, ""),
        ({"owed": Decimal("0.01")}, "£0.01 is still owed."),
        ({"owed": Decimal("-5.00")}, ""),
        ({"owed": Decimal("96.00"), "let_go": True}, ""),
        ({"owed": Decimal("96.00"), "on_account": True}, ""),
        (
            {"owed": Decimal("96.00"), "trade": True},
            "£96.00 is still owed. This customer is on account, but nothing",
        ),
        ({"owed": Decimal("96.00"), "trade": True, "let_go": True}, ""),
        ({"owed": Decimal("96.00"), "let_go": True, "slips": {"quarantine"}}, "Its battery"),
        ({"owed": Decimal("96.00"), "on_account": True, "slips": {"in dispute"}}, "It is in dispute."),
    ],
)
def test_gate_says_the_first_reason(changes, start):
    sentence = why_not(**{**FREE, **changes})
    assert sentence.startswith(start) and bool(sentence) == bool(start)


def test_money_never_opens_the_gate_of_a_damaged_cell():
    for owed, let_go, on_account in itertools.product(
        (Decimal(-1), Decimal(0), Decimal(9)), *[(True, False)] * 2
    ):
        given = {**FREE, "owed": owed, "let_go": let_go, "on_account": on_account, "slips": {"quarantine"}}
        assert why_not(**given)


@pytest.mark.parametrize(
    ("packed", "came", "word"),
    [
        (310, 310, ""),
        (350, 310, ""),
        (250, 310, ""),
        (373, 310, "63 g more"),
        (150, 310, "160 g less"),
        (1100, 1000, ""),
        (1201, 1000, "201 g more"),
        (90, 60, ""),
        (500, None, ""),
        (500, 0, ""),
    ],
)
def test_weight_is_doubted_only_when_it_is_far_off(packed, came, word):
    sentence = weight_doubt(packed, came)
    assert word in sentence and bool(sentence) == bool(word)
