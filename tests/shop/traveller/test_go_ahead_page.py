"""Station 50 for staff: how long the quote stands, an answer heard by phone, and writing it again."""

import re
from datetime import timedelta
from decimal import Decimal

import pytest

from intake import questions
from intake.models import Order
from intake.stations import Station
from quotes import decisions, offers
from quotes.decisions import Answer
from quotes.models import Decision, Quote
from tests.bench_orders import at_go_ahead, make_part, make_rates, make_remedy


@pytest.fixture
def quote(letterhead, technician, at):
    make_rates(at)
    return at_go_ahead(by=technician, at=at, remedy=make_remedy(), part=make_part(by=technician, at=at))


@pytest.fixture
def clock(monkeypatch, at):
    """Sets the time of the views; starts at `at`."""

    def show(moment):
        monkeypatch.setattr("intake.drain.now", lambda: moment)

    show(at)
    return show


@pytest.fixture
def bench(client, technician, clock):
    client.force_login(technician)
    return client


def page(bench, quote):
    return bench.get(f"/sheet/{quote.order.code}/").content.decode()


def note(bench, quote, **changes):
    fields = {
        "looked_at": quote.digest,
        "choice": "mend",
        "channel": "phone",
        "typed_name": "Mara Ellwick",
        "read_out": "on",
        "called_number": "555-0101",
        "spoken_at": "2026-02-02T09:00",
        "conditions": "none",
        "read_total": "112.32",
        **changes,
    }
    return bench.post(f"/sheet/{quote.order.code}/answer/", fields)


def station(quote):
    return Order.objects.get(pk=quote.order_id).station


def test_sheet_says_total_days_left_reminders_and_open_questions(bench, quote, at, clock):
    offers.remind(quote=quote, number=1, at=at + timedelta(days=7))
    questions.ask(order=quote.order, text="Is my data safe?", form_key="q", at=at)
    clock(at + timedelta(days=8))
    text = page(bench, quote)
    for words in ("112.32", "13 days left", "9 Feb", "1 question waits"):
        assert words in text


def test_last_day_is_said(bench, quote, at, clock):
    clock(quote.valid_until)
    assert "This is the last day" in page(bench, quote)


def test_answer_by_phone_is_noted_on_exactly_what_was_shown(bench, quote, technician):
    assert note(bench, quote).status_code == 303
    decision = Decision.objects.get()
    assert (decision.channel, decision.noted_by, decision.digest) == ("phone", technician, quote.digest)
    assert (decision.typed_name, decision.consents) == ("Mara Ellwick", ["read_out"])
    assert decision.button == "Noted on the sheet: Mend it"
    assert (decision.called_number, decision.conditions) == ("555-0101", "none")
    assert decision.spoken_at.isoformat() == "2026-02-02T09:00:00+00:00"
    assert station(quote) == Station.REPAIR
    assert "by phone, noted by staff" in page(bench, quote)


def test_no_in_person_goes_to_goods_out(bench, quote):
    note(bench, quote, choice="back", channel="person")
    assert station(quote) == Station.GOODS_OUT


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        ({"typed_name": " "}, "Write the name of the person who answered."),
        ({"typed_name": "x" * 10_000}, "it has 10000"),
        ({"read_out": ""}, "Read them the total"),
        ({"choice": ""}, "Say what they answered."),
        ({"channel": ""}, "Say how the answer came."),
        ({"channel": "link"}, "not one of the available choices"),
        ({"choice": "recycle"}, "Ask them this first, then tick it."),
        ({"called_number": ""}, "Write the number that was called"),
        ({"spoken_at": ""}, "Write the day and the time of the call."),
        ({"spoken_at": "2026-02-02T09:01"}, "That is still to come."),
        ({"spoken_at": "2026-02-01T09:00"}, "The quote was sent later than that."),
        ({"spoken_at": "this morning"}, "Write day and time as"),
        ({"conditions": ""}, "Write what they made a condition, or: none."),
        ({"read_total": ""}, "112.32 in all. Read it out, then write it here."),
        ({"read_total": "112.31"}, "112.32 in all. Read that out to them."),
        ({"read_total": "about 112"}, "not an amount"),
    ],
)
def test_answer_that_is_incomplete_is_not_noted_and_stays_typed(bench, quote, given, sentence):
    answer = note(bench, quote, **{"typed_name": "Mara E.", **given})
    text = answer.content.decode()
    assert answer.status_code == 422
    assert sentence in text
    assert "typed_name" in given or 'value="Mara E."' in text
    assert not Decision.objects.exists()


def test_recycling_is_noted_with_the_consent(bench, quote):
    note(bench, quote, choice="recycle", wipe="on", read_total="0")
    decision = Decision.objects.get()
    assert decision.consents == ["read_out", "wipe"]
    assert [row["version"] for row in decision.consent_texts] == ["1", "1"]
    assert "nothing comes back" in decision.consent_texts[1]["words"]


def test_answer_after_the_customers_own_changes_nothing_and_says_so(bench, quote, at):
    decisions.decide(quote=quote, answer=Answer("back", "Mara Ellwick", quote.digest, "Back"), at=at)
    answer = note(bench, quote, typed_name="Somebody Else")
    text = answer.content.decode()
    assert answer.status_code == 409
    assert "answered already" in text
    assert "Somebody Else" in text
    assert Decision.objects.get().choice == "back"


def test_answer_to_a_quote_that_has_lapsed_meanwhile_is_not_noted(bench, quote, clock):
    clock(quote.valid_until + timedelta(seconds=1))
    answer = note(bench, quote)
    assert answer.status_code == 409
    assert "lapsed" in answer.content.decode()
    assert not Decision.objects.exists()


def test_answer_to_no_quote_of_this_order_is_not_found(bench, quote):
    assert note(bench, quote, looked_at="0" * 64).status_code == 404


def test_lapsed_quote_is_written_again_at_todays_prices(bench, quote, at, clock):
    late = quote.valid_until + timedelta(days=2)
    clock(late)
    make_rates(at, return_post_price=Decimal(14))
    text = page(bench, quote)
    assert "Nobody answered in time." in text
    assert 'form="reopen" data-key="F9"' in text
    answer = bench.post(f"/sheet/{quote.order.code}/reopen/", {"version": quote.order.version})
    assert answer.status_code == 303
    assert station(quote) == Station.QUOTE
    assert "114.32" in page(bench, quote)


def test_new_revision_leaves_the_sent_quote_as_it_is(bench, quote):
    bench.post(f"/sheet/{quote.order.code}/reopen/", {"version": quote.order.version})
    kept = Quote.objects.get()
    assert (kept.total, hasattr(kept, "end")) == (quote.total, False)


def test_reopening_from_an_old_sheet_is_answered_gently(bench, quote):
    answer = bench.post(f"/sheet/{quote.order.code}/reopen/", {"version": quote.order.version - 1})
    assert answer.status_code == 409
    assert station(quote) == Station.GO_AHEAD


def test_cost_of_the_shop_is_for_the_owner(bench, quote, client, owner):
    assert "51.49" not in page(bench, quote)
    client.force_login(owner)
    assert "51.49" in page(client, quote)


def test_no_id_is_used_twice(bench, quote):
    ids = re.findall(r'\bid="([^"]+)"', page(bench, quote))
    assert sorted(ids) == sorted(set(ids))
