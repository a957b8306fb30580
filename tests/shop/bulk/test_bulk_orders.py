"""Orders made in bulk keep every rule that orders of the real actions keep."""

import datetime as dt
from collections import Counter, defaultdict

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError
from django.db import transaction
from django.db.models import Sum
from django.urls import reverse

from intake import history
from intake.models import HistoryEntry, HistoryHead, Letterhead, Order, Person
from intake.stations import Station
from quotes import proof
from quotes.models import Dispute, Entry, Invoice, Move, NumberSeries, Part, Quote
from quotes.offers import digest_of
from quotes.owed import standings
from shop.books.day_sums import summed
from shop.books.keep import kept
from shop.books.recount import recount
from shop.bulk.calendar import Calendar
from shop.bulk.make import make_orders
from shop.bulk.moulds import MODELS, SHARED
from shop.bulk.walks import OTHER_ENDS, STILL_HERE, shapes
from shop.models import BookDay, BookLine, WorkSession

NOW = dt.datetime(2026, 2, 27, 18, tzinfo=dt.UTC)
# One of the ten mended is enough here.
WHICH = [shapes()[1], *OTHER_ENDS, *STILL_HERE]
COUNT = 300


@pytest.fixture(scope="module")
def made(django_db_setup, django_db_blocker):
    """Three hundred orders of two years, taken back after the last test of this file."""
    with django_db_blocker.unblock(), transaction.atomic():
        make_orders(orders=COUNT, seed=7, years=2, at=NOW, which=WHICH)
        yield
        transaction.set_rollback(True)


def test_every_table_has_rows_and_every_order_its_own(made):
    assert Order.objects.count() == COUNT
    assert {model.__name__: model.objects.count() for model in MODELS if not model.objects.exists()} == {}
    assert Order.objects.values("code").distinct().count() == COUNT
    assert HistoryEntry.objects.values("order").distinct().count() == COUNT


def test_books_of_made_orders_prove(made):
    assert proof.prove() == []
    assert NumberSeries.objects.get(kind="entry").next == Entry.objects.count() + 1


def test_history_of_made_orders_holds(made):
    assert history.verify() is None
    assert HistoryHead.objects.get().seq == HistoryEntry.objects.count()


def test_history_entry_that_is_changed_is_found(made):
    entries = list(HistoryEntry.objects.select_related("order").order_by("seq"))
    entries[40].who = "somebody"
    assert history.verify(entries) is not None


def test_recount_of_made_orders_finds_nothing_to_mend(made):
    count = recount()
    assert count.faults == []
    assert count.lines == BookLine.objects.count() > 250
    assert BookDay.objects.count() == len(summed(kept(BookLine.objects.all())))


def test_every_station_has_an_order_and_most_have_gone_home(made):
    stations = Counter(Order.objects.values_list("station", flat=True))
    assert set(stations) == {int(station) for station in Station if station is not Station.REQUEST}
    assert stations[100] > 0.9 * COUNT


def test_waits_of_every_kind_are_open(made):
    open_slips = set(
        Order.objects.filter(slips__ended_at__isnull=True).values_list("slips__reason", flat=True)
    )
    assert {"for a part", "for payment", "for the customer", "quarantine", "lost in the post"} <= open_slips


def test_money_is_owed_held_and_disputed(made):
    found = standings().values()
    assert any(one.balance > 0 for one in found)
    assert any(one.deposit_held > 0 for one in found)
    assert Dispute.objects.filter(end__isnull=True).exists()


def test_outcomes_are_all_there(made):
    assert set(Order.objects.values_list("outcome", flat=True)) >= {
        "fixed", "declined", "no fix", "data only", "recycled",
    }  # fmt: skip


def test_counters_of_parts_are_the_sums_of_their_moves(made):
    sums = {row["part_id"]: row for row in Move.objects.order_by().values("part_id").annotate(hand=Sum("on_hand_change"), aside=Sum("reserved_change"))}  # fmt: skip
    for part in Part.objects.all():
        assert (part.on_hand, part.reserved) == (sums[part.pk]["hand"], sums[part.pk]["aside"])


def test_bins_are_never_empty_when_something_is_taken(made):
    hand: dict[int, int] = defaultdict(int)
    for part, change in Move.objects.order_by("at", "-on_hand_change").values_list(
        "part_id", "on_hand_change"
    ):
        hand[part] += change
        assert hand[part] >= 0


def test_numbers_follow_the_time(made):
    entries = list(Entry.objects.order_by("number").values_list("at", flat=True))
    assert entries == sorted(entries)
    bills = list(Invoice.objects.filter(kind="invoice").order_by("number").values_list("issued_at", flat=True))  # fmt: skip
    assert bills == sorted(bills)


def test_digest_of_a_quote_is_that_of_what_is_shown(made):
    for quote in Quote.objects.select_related("order"):
        assert quote.digest == digest_of(quote.shown)
        assert quote.shown["order"] == quote.order.code
        assert quote.shown["finding"]["id"] == quote.finding_id
        if quote.promise:
            assert quote.shown["promise"] == quote.promise.isoformat()


def test_comeback_is_pinned_to_an_order_of_the_same_customer_that_was_home(made):
    pinned = Order.objects.filter(comeback_of__isnull=False).select_related("comeback_of")
    assert pinned
    for order in pinned:
        assert order.comeback_of.customer_id == order.customer_id
        assert order.comeback_of.outcome == "fixed"
        assert order.comeback_of.closed_at < order.arrived_at


def test_everything_happened_before_now(made):
    assert Order.objects.filter(created_at__gte=NOW).count() == 0
    assert WorkSession.objects.filter(ended_at__gte=NOW).count() == 0
    assert Entry.objects.filter(at__gte=NOW).count() == 0


def test_sheet_of_a_made_order_opens_at_every_station(made, client):
    client.force_login(Person.objects.get(username="ansel"))
    for station in Order.objects.values_list("station", flat=True).distinct():
        order = Order.objects.filter(station=station).first()
        assert client.get(reverse("shop:sheet", args=[order.code])).status_code == 200


def _rows():
    """Every made row, without the keys of rows that a shop has before."""
    told = {}
    for model in (*MODELS, HistoryEntry):
        fixed = SHARED - {Order}
        names = [field.attname for field in model._meta.concrete_fields if field.related_model not in fixed]
        told[model] = list(model.objects.order_by("pk").values_list(*names))
    names = [
        field.attname
        for field in BookLine._meta.concrete_fields
        if field.attname not in ("technician", "customer")
    ]
    told[BookLine] = list(BookLine.objects.order_by("pk").values_list(*names))
    return told


def _made_and_taken_back(seed):
    with transaction.atomic():
        make_orders(orders=60, seed=seed, years=1, at=NOW, which=FEW)
        found = _rows()
        transaction.set_rollback(True)
    return found


FEW = [shapes()[1], STILL_HERE[0], STILL_HERE[6]]


def test_same_seed_makes_the_same_rows_and_another_does_not(db):
    first, second, other = (_made_and_taken_back(seed) for seed in (7, 7, 8))
    assert first == second
    assert first[Order] != other[Order]


def test_command_refuses_a_real_shop(db, letterhead):
    Letterhead.objects.update(name="Some Real Bench")
    with pytest.raises(CommandError, match="real shop"):
        call_command("make_orders", orders=1)
    assert not Order.objects.exists()


@pytest.mark.parametrize("words", [["--orders=0"], ["--years=0"], ["--as-of=soon"], ["--as-of=2026-01-01"]])
def test_command_refuses_what_it_cannot_make(db, words):
    with pytest.raises(CommandError):
        call_command("make_orders", *words)
    assert not Order.objects.exists()


def test_working_days_leave_weekends_out():
    calendar = Calendar(dt.date(2026, 2, 20), dt.date(2026, 2, 27))
    assert [day.day for day in calendar.days] == [20, 23, 24, 25, 26]
