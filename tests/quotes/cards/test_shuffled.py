"""Reports of a card provider, doubled and in any order: the same books as told once and in order."""

import random
from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import transaction

from quotes import billing
from quotes.cards import waiting
from quotes.models import CardEvent, Dispute, DisputeEnd, Payment
from quotes.proof import prove
from tests.quotes.cards.test_events import _offline, checkout, order, told  # noqa: F401 -- fixtures are used by name

pytestmark = [pytest.mark.usefixtures("rates"), pytest.mark.faults, pytest.mark.long]

STORIES = {
    "paid": (["paid"], (1, 0, 0)),
    "paid and disputed": (["paid", "disputed"], (1, 1, 0)),
    "lost": (["paid", "disputed", "dispute_lost"], (1, 1, 1)),
    "won": (["paid", "disputed", "dispute_won"], (1, 1, 1)),
    "refused first": (["failed", "paid", "disputed", "dispute_won"], (1, 1, 1)),
}


class TakenBack(Exception):
    """Ends a shuffle so that its rows go."""


@pytest.mark.parametrize("story", STORIES)
def test_doubled_and_shuffled_reports_come_to_the_same_books(checkout, order, at, size, story):  # noqa: F811 -- as above
    kinds, counts = STORIES[story]
    dice = random.Random(20261106)
    ends = set()
    for _ in range(size(6, 200)):
        dealt = [kind for kind in kinds for _ in range(dice.randint(1, 3))]
        dice.shuffle(dealt)
        with pytest.raises(TakenBack), transaction.atomic():
            for number, kind in enumerate(dealt):
                told(checkout, kind, at + timedelta(seconds=number), fee=Decimal(kind == "disputed"))
            assert CardEvent.objects.count() == len(kinds)
            assert (Payment.objects.count(), Dispute.objects.count(), DisputeEnd.objects.count()) == counts, (
                dealt
            )
            assert waiting.waiting() == [] and prove() == []
            ends.add(billing.balance(order))
            raise TakenBack
    assert len(ends) == 1
