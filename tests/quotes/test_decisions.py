"""One decision for one quote, on the digest of exactly what was shown."""

import datetime as dt
from decimal import Decimal

import pytest
from django.db import DatabaseError, IntegrityError, transaction

from intake.models import HistoryEntry, Letter, Order, Slip
from intake.stations import Outcome, SlipReason, Station
from quotes import decisions, offers, stock
from quotes.decisions import Answer
from quotes.models import Decision, Invoice, QuoteEnd
from quotes.refusals import AlreadyDecided, BeingRewritten, Lapsed, Refused, Superseded
from tests.bench_orders import at_go_ahead, lines, send_quote

pytestmark = pytest.mark.usefixtures("rates")


@pytest.fixture
def quote(technician, at, remedy, part):
    return at_go_ahead(by=technician, at=at, remedy=remedy, part=part)


def spoken(at, **other):
    return {"called_number": "555-0101", "spoken_at": at, "conditions": "none", **other}


def answer(quote, at, choice="mend", name="Mara Ellwick", **other):
    given = {"choice": choice, "typed_name": name, "digest": quote.digest, "button": "Yes", **other}
    return decisions.decide(quote=quote, answer=Answer(**given), at=at)


def stands_at(quote):
    return Order.objects.get(pk=quote.order_id).station


def test_yes_signs_50_reserves_the_part_and_promises(quote, part, at):
    decision = answer(quote, at)
    order = Order.objects.get(pk=quote.order_id)
    part.refresh_from_db()
    assert (decision.amount, decision.digest) == (Decimal("112.32"), quote.digest)
    assert order.station == Station.REPAIR
    assert order.promise == order.first_promise == quote.promise
    assert (part.on_hand, part.reserved) == (4, 1)
    assert stock.set_aside(order) == {part.pk: 1}
    assert order.lines.get(station=Station.GO_AHEAD).initials == "WEB"
    letter = Letter.objects.get(kind="agreed")
    assert [paper.maker for paper in letter.papers.all()] == ["decision_receipt"]
    assert not Invoice.objects.exists()


def test_history_seals_the_name_and_keeps_the_digest(quote, at):
    answer(quote, at)
    facts = HistoryEntry.objects.get(what="decided").facts
    assert facts["digest"] == quote.digest
    assert len(facts["name"]) == 64
    assert "Mara" not in str(facts)


def test_second_click_is_told_what_was_decided_and_changes_nothing(quote, part, at):
    first = answer(quote, at)
    for choice in ("mend", "back"):
        with pytest.raises(AlreadyDecided) as told:
            answer(quote, at, choice=choice, name="Somebody Else")
        assert told.value.decision == first
    part.refresh_from_db()
    assert part.reserved == 1
    assert Letter.objects.filter(kind__in=["agreed", "declined"]).count() == 1


def test_two_windows_in_the_same_moment_decide_once(quote, at, monkeypatch):
    """The other window ends the quote between this one's look and its own end row."""
    real, first_look = decisions._still_open, []

    def other_is_quicker(asked, order, given, moment):
        real(asked, order, given, moment)
        if not first_look:
            first_look.append(True)
            answer(asked, at, name="Quicker")

    monkeypatch.setattr(decisions, "_still_open", other_is_quicker)
    with pytest.raises(AlreadyDecided) as told:
        answer(quote, at, name="Slower")
    assert told.value.decision.typed_name == "Quicker"


def test_answer_on_a_page_that_showed_something_else_is_refused(quote, at):
    with pytest.raises(Superseded):
        answer(quote, at, digest="0" * 64)
    assert stands_at(quote) == Station.GO_AHEAD


def test_answer_to_the_old_revision_points_to_the_newer(quote, technician, remedy, at):
    order = quote.order
    offers.reopen(order=order, seen_version=order.version, by=technician, at=at)
    newer = send_quote(order, lines(remedy), by=technician, at=at)
    with pytest.raises(Superseded) as told:
        answer(quote, at)
    assert told.value.newer == newer
    assert answer(newer, at).amount == Decimal(108)


def test_answer_while_the_shop_rewrites_is_refused_gently(quote, technician, at):
    order = quote.order
    offers.reopen(order=order, seen_version=order.version, by=technician, at=at)
    with pytest.raises(BeingRewritten):
        answer(quote, at)


def test_answer_in_the_last_second_counts_and_one_later_is_lapsed(quote):
    with pytest.raises(Lapsed):
        answer(quote, quote.valid_until + dt.timedelta(seconds=1))
    assert answer(quote, quote.valid_until).choice == "mend"


def test_answer_after_the_clock_ended_it_is_lapsed(quote):
    late = quote.valid_until + dt.timedelta(hours=1)
    offers.lapse(quote=quote, at=late)
    with pytest.raises(Lapsed):
        answer(quote, late)
    assert stands_at(quote) == Station.GO_AHEAD


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"choice": "steal"}, "choice"),
        ({"choice": "first"}, "choice"),
        ({"name": "   "}, "typed_name"),
        ({"choice": "recycle"}, "consents"),
    ],
)
def test_answer_that_is_incomplete_is_refused_beside_its_field(quote, at, given, field):
    with pytest.raises(Refused) as refused:
        answer(quote, at, **given)
    assert refused.value.field == field
    assert not QuoteEnd.objects.exists()


def test_no_bills_the_return_post_that_was_told_and_goes_to_goods_out(quote, part, at):
    decision = answer(quote, at, choice="back")
    order, invoice = Order.objects.get(pk=quote.order_id), Invoice.objects.get()
    part.refresh_from_db()
    assert (order.station, order.outcome) == (Station.GOODS_OUT, Outcome.DECLINED)
    assert decision.amount == invoice.total == quote.back_total == Decimal(12)
    assert part.reserved == 0
    assert [p.maker for p in Letter.objects.get(kind="declined").papers.order_by("maker")] == [
        "decision_receipt",
        "invoice",
    ]


def test_recycle_with_consent_costs_nothing(quote, at):
    decision = answer(quote, at, choice="recycle", consents=["wipe"])
    order = Order.objects.get(pk=quote.order_id)
    assert (order.station, order.outcome) == (Station.GOODS_OUT, Outcome.RECYCLED)
    assert decision.amount == 0
    assert not Invoice.objects.exists()


def test_yes_with_a_short_part_waits_for_it_and_keeps_the_yes(technician, at, remedy, part):
    quote = at_go_ahead(by=technician, at=at, remedy=remedy, part=part, quantity=5)
    answer(quote, at)
    slip = Slip.objects.get(order=quote.order, ended_at=None)
    part.refresh_from_db()
    assert (slip.reason, slip.note) == (SlipReason.PART, "FLX-7 Flex part: 5 wanted, 4 free in the bin.")
    assert part.reserved == 0
    assert stands_at(quote) == Station.REPAIR


def test_two_orders_want_the_last_pieces_and_one_waits(technician, at, remedy, part):
    first, second = (
        at_go_ahead(by=technician, at=at, remedy=remedy, part=part, quantity=3, key=key) for key in "ab"
    )
    answer(first, at)
    answer(second, at)
    part.refresh_from_db()
    assert (part.on_hand, part.reserved) == (4, 3)
    assert [slip.order for slip in Slip.objects.filter(reason=SlipReason.PART)] == [second.order]


def test_answer_by_phone_names_who_noted_it(quote, technician, at):
    decision = answer(quote, at, channel="phone", noted_by=technician, **spoken(at))
    order = Order.objects.get(pk=quote.order_id)
    assert decision.noted_by == technician
    assert order.lines.get(station=Station.GO_AHEAD).signed_by == technician


def test_answer_by_phone_without_a_name_of_staff_is_refused_by_the_table(quote, at):
    with pytest.raises(IntegrityError), transaction.atomic():
        answer(quote, at, channel="phone", **spoken(at))


def test_decision_refuses_every_change(quote, at):
    answer(quote, at)
    for change in (
        lambda: Decision.objects.update(amount=1),
        lambda: Decision.objects.all()._raw_delete("default"),
    ):
        with pytest.raises(DatabaseError, match="only ever added"), transaction.atomic():
            change()


@pytest.fixture
def limited(technician, at, remedy, part):
    return at_go_ahead(by=technician, at=at, remedy=remedy, part=part, standing_limit=Decimal(120))


def stop(quote, at, begun=False):
    order = Order.objects.get(pk=quote.order_id)
    return decisions.stop_before_work(order=order, seen_version=order.version, begun=begun, at=at)


def test_customer_stops_what_the_limit_started_and_the_part_is_freed(limited, part, at):
    stop(limited, at)
    part.refresh_from_db()
    assert stands_at(limited) == Station.QUOTE
    assert part.reserved == 0
    assert decisions.agreed_quote(limited.order) is None


def test_limit_agrees_no_second_time_after_a_stop(limited, technician, at, remedy):
    order = stop(limited, at)
    newer = send_quote(order, lines(remedy), by=technician, at=at)
    assert not Decision.objects.filter(quote=newer).exists()
    assert stands_at(limited) == Station.GO_AHEAD


def test_stop_after_work_began_is_refused(limited, at):
    with pytest.raises(Refused, match="begun"):
        stop(limited, at, begun=True)


def test_stop_of_a_yes_that_was_said_is_refused(quote, at):
    answer(quote, at)
    with pytest.raises(Refused, match="nothing to stop"):
        stop(quote, at)


def test_finishing_only_the_first_job_keeps_the_first_price(quote, technician, at, remedy, part):
    answer(quote, at)
    order = Order.objects.get(pk=quote.order_id)
    offers.second_fault(order=order, seen_version=order.version, found=quote.finding, by=technician, at=at)
    newer = send_quote(order, lines(remedy, part, 2), by=technician, at=at)
    decision = answer(newer, at, choice="first")
    part.refresh_from_db()
    assert decision.amount == quote.total
    assert decisions.agreed_quote(order) == quote
    assert (stands_at(quote), part.reserved) == (Station.REPAIR, 1)


def test_yes_to_both_faults_puts_aside_what_the_new_revision_needs(quote, technician, at, remedy, part):
    answer(quote, at)
    order = Order.objects.get(pk=quote.order_id)
    offers.second_fault(order=order, seen_version=order.version, found=quote.finding, by=technician, at=at)
    newer = send_quote(order, lines(remedy, part, 2), by=technician, at=at)
    answer(newer, at)
    part.refresh_from_db()
    assert decisions.agreed_quote(order) == newer
    assert part.reserved == 2
