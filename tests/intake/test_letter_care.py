"""A stuck letter that has another way out than going once more as it is."""

import pytest

from intake import letter_care
from intake.models import Customer, HistoryEntry, Letter
from intake.refusals import Refused
from tests import walk


@pytest.fixture
def order(at, letterhead):
    return walk.request(at=at)


def stuck(order, state="dead"):
    letter = Letter.objects.get(order=order, kind="request_received")
    Letter.objects.filter(pk=letter.pk).update(state=state, sent_at=None)
    return letter


def test_address_put_right_sends_what_is_stuck_and_all_that_follows(order, owner, at):
    letter = stuck(order)
    assert letter_care.readdress(letter=letter, to="mara.right@example.com", by=owner, at=at) == 1
    letter.refresh_from_db()
    assert (letter.to, letter.state) == ("mara.right@example.com", "pending")
    assert Customer.objects.get(pk=order.customer_id).email == "mara.right@example.com"
    said = HistoryEntry.objects.get(what="letters go to another address")
    assert "example.com" not in str(said.facts)


def test_letter_to_somebody_else_leaves_the_customers_address(order, owner, at):
    letter = stuck(order, "held")
    Letter.objects.filter(pk=letter.pk).update(to="bench@example.com")
    letter_care.readdress(letter=letter, to="bench.new@example.com", by=owner, at=at)
    assert Customer.objects.get(pk=order.customer_id).email != "bench.new@example.com"


def test_closed_letter_goes_no_more_and_is_closed_once(order, owner, at):
    letter = stuck(order)
    letter_care.close(letter=letter, by=owner, at=at)
    letter.refresh_from_db()
    assert letter.state == "closed"
    for deed in (
        lambda: letter_care.close(letter=letter, by=owner, at=at),
        lambda: letter_care.readdress(letter=letter, to="a@example.com", by=owner, at=at),
    ):
        with pytest.raises(Refused, match="not stuck any more"):
            deed()
