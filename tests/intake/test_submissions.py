"""From a filled form to an order: once, whole, and never with a battery that must not travel."""

import pytest
from django.db import IntegrityError

from intake import letters, lifecycle, submissions
from intake.models import Customer, HistoryEntry, Letter, Order
from intake.refusals import Refused
from tests import walk

pytestmark = pytest.mark.usefixtures("bench")


def test_request_makes_order_sheet_papers_link_and_letter(at):
    order, link = submissions.submit(answers=walk.answers(), form_key="once", at=at)
    assert list(order.lines.values_list("station", "initials")) == [(10, "WEB"), (20, "")]
    assert order.papers.count() == 4
    assert link.order == order
    letter = Letter.objects.get()
    assert (letter.kind, [paper.maker for paper in letter.papers.all()]) == (
        "request_received",
        ["shipping_form"],
    )


def test_same_form_sent_twice_is_one_order(at):
    first, link = submissions.submit(answers=walk.answers(), form_key="once", at=at)
    assert submissions.submit(answers=walk.answers(words="Changed"), form_key="once", at=at) == (first, link)
    assert (Order.objects.count(), Letter.objects.count(), HistoryEntry.objects.count()) == (1, 1, 1)


def test_swollen_battery_makes_no_order(at):
    with pytest.raises(Refused, match="do not post") as refused:
        submissions.submit(answers=walk.answers(cell_signs=["swollen"]), form_key="once", at=at)
    assert refused.value.field == "cell_signs"
    assert not Order.objects.exists()


def test_fault_in_the_middle_leaves_nothing(at, monkeypatch):
    def broken(*_, **__):
        raise RuntimeError("no words")

    monkeypatch.setattr(letters, "_written", broken)
    with pytest.raises(RuntimeError):
        submissions.submit(answers=walk.answers(), form_key="once", at=at)
    assert not (Order.objects.exists() or Customer.objects.exists() or HistoryEntry.objects.exists())


def test_fault_that_is_no_second_click_is_not_swallowed(at, monkeypatch):
    def broken(*_, **__):
        raise IntegrityError("another one")

    monkeypatch.setattr(submissions, "_make", broken)
    with pytest.raises(IntegrityError):
        submissions.submit(answers=walk.answers(), form_key="once", at=at)


def test_withdrawn_request_is_closed_with_a_letter_once(at):
    order = walk.request(at=at)
    submissions.withdraw(order=order, seen_version=1, by=lifecycle.CUSTOMER, at=at)
    assert (order.station, order.outcome, order.closed_at) == (100, "withdrawn", at)
    with pytest.raises(lifecycle.LifecycleError):
        submissions.withdraw(order=order, seen_version=order.version, by=lifecycle.CUSTOMER, at=at)
    assert Letter.objects.filter(kind="withdrawn").count() == 1
