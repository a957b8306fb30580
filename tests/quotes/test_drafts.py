"""A quote being put together: what it costs to the cent, and what is refused with a sentence."""

import datetime as dt
from decimal import Decimal

import pytest

from intake.models import Letterhead
from quotes import drafts
from quotes.models import QuoteDraft
from quotes.refusals import Refused
from tests.bench_orders import at_diagnosis, at_quote, lines, make_rates

pytestmark = pytest.mark.usefixtures("rates")


@pytest.fixture
def draft(technician, at):
    return drafts.draft_of(at_quote(by=technician, at=at), at=at)


def save(draft, rows, at, words=""):
    return drafts.save_draft(draft=draft, lines=rows, words=words, promise=draft.promise, at=at)


def test_draft_begins_with_the_return_post_and_the_promise_of_the_rates(draft, at):
    assert [line["kind"] for line in draft.lines] == ["post"]
    assert draft.promise == dt.date(2026, 2, 9)
    assert drafts.draft_of(draft.order, at=at) == draft


def test_promise_counts_days_in_the_shops_zone(technician, at):
    Letterhead.objects.create(
        version=2,
        since=at,
        zone="Pacific/Auckland",
        **dict.fromkeys(("name", "street", "city", "email"), "x"),
    )
    order = at_quote(by=technician, at=at)
    late = dt.datetime(2026, 2, 2, 20, 0, tzinfo=dt.UTC)  # Tuesday the 3rd over there
    assert drafts.draft_of(order, at=late).promise == dt.date(2026, 2, 10)


def test_preview_adds_labour_part_tax_and_post_to_the_cent(draft, remedy, part, at):
    worked = drafts.preview(save(draft, lines(remedy, part), at), at=at)
    assert (worked.priced.net, worked.priced.tax, worked.priced.total) == (
        Decimal("112.00"),
        Decimal("0.32"),
        Decimal("112.32"),
    )
    assert worked.choices.back.total == worked.choices.no_fix.total == Decimal("12.00")
    assert worked.choices.recycle.total == 0
    # part 0.09, post 9.40, 60 minutes at 0.70
    assert worked.priced.shop_cost == Decimal("51.49")
    assert worked.priced.margin == Decimal("60.51")


def test_preview_shows_no_cost_of_the_shop(draft, remedy, part, at):
    shown = drafts.preview(save(draft, lines(remedy, part), at), at=at).shown
    assert set(shown["lines"][1]) == {"kind", "text", "quantity", "amount", "still_charged"}
    assert "51.49" not in str(shown)
    assert "0.09" not in str(shown)


def test_price_set_by_hand_overrules_the_list(draft, remedy, part, at):
    rows = lines(remedy, part)
    rows[1]["price"] = "5.50"
    worked = drafts.preview(save(draft, rows, at), at=at)
    assert worked.priced.lines[1].unit_price == Decimal("5.50")
    assert worked.priced.total == Decimal("113.94")


def test_part_without_a_list_price_is_priced_by_the_band(draft, remedy, part, at):
    type(part).objects.filter(pk=part.pk).update(list_price=None)
    worked = drafts.preview(save(draft, lines(remedy, part), at), at=at)
    assert worked.priced.lines[1].net == Decimal("0.27")  # 0.09 x 3


def test_preview_follows_the_rates_of_today(draft, remedy, at):
    saved = save(draft, lines(remedy), at)
    make_rates(at, return_post_price=Decimal(18))
    assert drafts.preview(saved, at=at).priced.total == Decimal("114.00")


@pytest.mark.parametrize(
    ("line", "sentence"),
    [
        ({"kind": "part", "text": "Wire", "price": "-1"}, "below nought"),
        ({"kind": "part", "text": "Wire", "price": "1", "quantity": "0"}, "more than nought"),
        ({"kind": "part", "text": "Wire", "price": "1", "quantity": "-2"}, "more than nought"),
        ({"kind": "part", "text": "Wire", "price": "NaN"}, "not a number"),
        ({"kind": "part", "text": "Wire", "price": "Infinity"}, "not a number"),
        ({"kind": "gift", "text": "Wire", "price": "1"}, "no kind of line"),
        ({"kind": "rush", "text": "Rush"}, "no price"),
        ({"kind": "rush", "text": "Rush", "price": "ten"}, "."),
    ],
)
def test_line_that_cannot_be_priced_is_refused_and_the_draft_stays(draft, at, line, sentence):
    before = draft.lines
    with pytest.raises(Refused, match=sentence):
        save(draft, [line], at)
    draft.refresh_from_db()
    assert (draft.lines, draft.version) == (before, 1)


def test_fee_may_lower_the_price_but_not_below_nought(draft, remedy, at):
    rows = [*lines(remedy), {"kind": "fee", "text": "For the wait", "price": "-8"}]
    assert drafts.preview(save(draft, rows, at), at=at).priced.total == Decimal("100.00")


def test_draft_that_would_pay_the_customer_is_refused(draft, at):
    with pytest.raises(Refused, match="less than nought"):
        save(draft, [{"kind": "fee", "text": "Gift", "price": "-8"}], at)


def test_draft_over_a_million_is_refused(draft, at):
    rows = [{"kind": "part", "text": "Gold", "price": "999999", "quantity": "9"}]
    with pytest.raises(Refused, match="1,000,000"):
        save(draft, rows, at)


def test_draft_with_too_many_lines_is_refused(draft, at):
    row = {"kind": "fee", "text": "x", "price": "1"}
    with pytest.raises(Refused, match="at most 40"):
        save(draft, [row] * 41, at)


def test_words_are_kept_up_to_two_thousand(draft, at):
    assert len(save(draft, draft.lines, at, words="x" * 2000).words) == 2000


def test_preview_before_a_finding_is_refused(technician, at):
    draft = drafts.draft_of(at_diagnosis(by=technician, at=at), at=at)
    with pytest.raises(Refused, match="No price before a finding"):
        drafts.preview(draft, at=at)


def test_short_parts_counts_all_lines_of_one_part(part, remedy):
    rows = [*lines(remedy, part, 3), {"kind": "part", "part": part.pk, "quantity": "2"}]
    assert drafts.short_parts(rows) == ["FLX-7 Flex part: 5 wanted, 4 free in the bin."]
    assert drafts.short_parts(lines(remedy, part, 4)) == []


def test_quote_stands_until_the_last_second_of_its_day_in_the_shops_zone(rates, letterhead, at):
    assert drafts.valid_until(rates, letterhead, at) == dt.datetime(2026, 2, 23, 23, 59, 59, tzinfo=dt.UTC)


def test_draft_is_one_an_order(draft, at):
    drafts.draft_of(draft.order, at=at)
    assert QuoteDraft.objects.count() == 1
