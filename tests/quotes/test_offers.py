"""A quote is sent once, never changes, and ends once."""

import datetime as dt
import hashlib
import json
from decimal import Decimal

import pytest
from django.db import DatabaseError, transaction

from intake.lifecycle import IllegalMove, SheetMoved
from intake.models import HistoryEntry, Letter, Order, Paper
from intake.stations import Station
from quotes import decisions, drafts, offers
from quotes.models import Decision, Quote, QuoteDraft, QuoteEnd
from quotes.refusals import Refused
from tests.bench_orders import at_go_ahead, at_quote, lines, make_rates, send_quote

pytestmark = pytest.mark.usefixtures("rates")


@pytest.fixture
def quote(technician, at, remedy, part):
    return at_go_ahead(by=technician, at=at, remedy=remedy, part=part)


def test_sent_quote_keeps_every_amount_and_what_was_shown(quote, technician, part, remedy):
    assert (quote.revision, quote.net, quote.tax, quote.total) == (
        1,
        Decimal(112),
        Decimal("0.32"),
        Decimal("112.32"),
    )
    assert (quote.back_total, quote.no_fix_total, quote.recycle_total) == (Decimal(12), Decimal(12), 0)
    assert quote.shop_cost == Decimal("51.49")
    rows = [(row.kind, row.net, row.tax_percent, row.part, row.remedy) for row in quote.lines.all()]
    assert rows == [
        ("labour", Decimal(96), 0, None, remedy),
        ("part", Decimal(4), 8, part, None),
        ("post", Decimal(12), 0, None, None),
    ]
    assert quote.lines.get(kind="part").condition == "new"
    assert quote.sent_by == technician


def test_digest_is_the_sha256_of_canonical_json_of_what_was_shown(quote):
    plain = json.dumps(quote.shown, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    assert quote.digest == hashlib.sha256(plain.encode()).hexdigest()


def test_sending_signs_40_and_posts_one_letter_with_the_paper(quote):
    order = Order.objects.get(pk=quote.order_id)
    letter = Letter.objects.get(kind="quote")
    assert order.station == Station.GO_AHEAD
    assert list(letter.papers.all()) == [Paper.objects.get(maker="quote", ref=quote.pk)]
    facts = HistoryEntry.objects.filter(order=order, what="moved").last().facts
    assert (facts["revision"], facts["total"], facts["digest"]) == (1, "112.32", quote.digest)


def test_sending_the_same_draft_twice_gives_the_same_quote(technician, at, remedy, monkeypatch):
    order = at_quote(by=technician, at=at)
    draft = drafts.draft_of(order, at=at)
    draft = drafts.save_draft(draft=draft, lines=lines(remedy), words="", promise=None, at=at)
    first = offers.send(
        order=order, seen_version=order.version, seen_draft=draft.version, by=technician, at=at
    )
    # The second of two clicks read the draft before the first one gave it a new key.
    QuoteDraft.objects.filter(pk=draft.pk).update(form_key=first.form_key)
    again = offers.send(
        order=order, seen_version=order.version, seen_draft=draft.version, by=technician, at=at
    )
    assert again == first
    assert Quote.objects.count() == Letter.objects.filter(kind="quote").count() == 1


def test_sending_a_draft_changed_in_another_window_is_refused(technician, at, remedy):
    order = at_quote(by=technician, at=at)
    draft = drafts.draft_of(order, at=at)
    drafts.save_draft(draft=draft, lines=lines(remedy), words="", promise=None, at=at)
    with pytest.raises(Refused, match="another window"):
        offers.send(order=order, seen_version=order.version, seen_draft=1, by=technician, at=at)
    assert not Quote.objects.exists()


def test_sending_from_an_old_sheet_leaves_nothing_behind(technician, at, remedy):
    order = at_quote(by=technician, at=at)
    draft = drafts.save_draft(
        draft=drafts.draft_of(order, at=at), lines=lines(remedy), words="", promise=None, at=at
    )
    with pytest.raises(SheetMoved):
        offers.send(
            order=order, seen_version=order.version - 1, seen_draft=draft.version, by=technician, at=at
        )
    assert not Quote.objects.exists()
    assert not Letter.objects.filter(kind="quote").exists()


def test_sending_without_labour_is_refused(technician, at):
    order = at_quote(by=technician, at=at)
    with pytest.raises(Refused, match="labour") as refused:
        offers.send(order=order, seen_version=order.version, seen_draft=1, by=technician, at=at)
    assert refused.value.field == "lines"


def test_sent_quote_its_lines_and_its_end_refuse_every_change(quote, at):
    offers.end_quote(quote, why=QuoteEnd.Why.WITHDRAWN, at=at)
    changes = (
        lambda: Quote.objects.update(total=1),
        lambda: Quote.objects.filter(pk=quote.pk).update(shown={}),
        lambda: quote.lines.update(net=1),
        lambda: quote.lines.all()._raw_delete("default"),
        lambda: QuoteEnd.objects.update(why="decided"),
    )
    for change in changes:
        with pytest.raises(DatabaseError, match="only ever added"), transaction.atomic():
            change()


def test_quote_keeps_its_price_when_rates_and_parts_change(quote, part, at):
    type(part).objects.filter(pk=part.pk).update(list_price=Decimal(99), name="Other")
    make_rates(at, return_post_price=Decimal(99))
    kept = Quote.objects.get(pk=quote.pk)
    assert kept.total == Decimal("112.32")
    assert kept.lines.get(kind="part").text == "Flex part"


def test_reopened_quote_stays_open_until_the_next_revision_is_sent(quote, technician, at, remedy):
    order = quote.order
    offers.reopen(order=order, seen_version=order.version, by=technician, at=at)
    assert decisions.open_quote(order) == quote
    newer = send_quote(order, lines(remedy), by=technician, at=at)
    assert (newer.revision, newer.total) == (2, Decimal(108))
    assert QuoteEnd.objects.get(quote=quote).why == QuoteEnd.Why.SUPERSEDED
    assert decisions.open_quote(order) == newer


def test_quote_ends_once_whoever_tries(quote, at):
    assert offers.end_quote(quote, why=QuoteEnd.Why.LAPSED, at=at)
    assert not offers.end_quote(quote, why=QuoteEnd.Why.SUPERSEDED, at=at)
    assert QuoteEnd.objects.get(quote=quote).why == QuoteEnd.Why.LAPSED


def test_lapse_comes_only_after_the_last_second_and_tells_once(quote):
    assert not offers.lapse(quote=quote, at=quote.valid_until)
    late = quote.valid_until + dt.timedelta(seconds=1)
    assert offers.lapse(quote=quote, at=late)
    assert not offers.lapse(quote=quote, at=late)
    assert Letter.objects.filter(kind="quote_lapsed").count() == 1
    assert Order.objects.get(pk=quote.order_id).station == Station.GO_AHEAD


def test_reminder_of_one_number_is_sent_once(quote, at):
    for number in (1, 1, 2):
        offers.remind(quote=quote, number=number, at=at)
    assert Letter.objects.filter(kind="quote_reminder").count() == 2


def test_standing_limit_at_the_total_agrees_by_rule_and_one_cent_below_does_not(technician, at, remedy, part):
    covered = at_go_ahead(
        by=technician, at=at, remedy=remedy, part=part, standing_limit=Decimal("112.32"), key="a"
    )
    above = at_go_ahead(
        by=technician, at=at, remedy=remedy, part=part, standing_limit=Decimal("112.31"), key="b"
    )
    assert covered.decision.channel == Decision.Channel.LIMIT
    assert covered.order.station == Station.REPAIR
    assert not Decision.objects.filter(quote=above).exists()
    assert list(Letter.objects.filter(order=covered.order).values_list("kind", flat=True))[-1] == (
        "agreed_by_limit"
    )
    assert not Letter.objects.filter(order=covered.order, kind="quote").exists()


def test_second_fault_is_asked_even_within_the_limit(technician, at, remedy, part):
    first = at_go_ahead(by=technician, at=at, remedy=remedy, part=part, standing_limit=Decimal(500))
    order = Order.objects.get(pk=first.order_id)
    offers.second_fault(order=order, seen_version=order.version, found=first.finding, by=technician, at=at)
    newer = send_quote(order, lines(remedy, part, 2), by=technician, at=at)
    assert decisions.agreed_quote(order) == first
    assert decisions.open_quote(order) == newer
    assert [choice["choice"] for choice in newer.shown["choices"]] == ["mend", "first"]


def test_reopen_from_the_repair_is_no_way_of_the_table(technician, at, remedy):
    quote = at_go_ahead(by=technician, at=at, remedy=remedy)
    Order.objects.filter(pk=quote.order_id).update(station=Station.TEST)
    order = Order.objects.get(pk=quote.order_id)
    with pytest.raises(IllegalMove):
        offers.reopen(order=order, seen_version=order.version, by=technician, at=at)
