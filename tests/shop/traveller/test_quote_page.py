"""Station 40 on the sheet: lines, the total, what is refused beside its field, the last look and the sending."""

import re
from datetime import date, timedelta
from decimal import Decimal

import pytest

from intake.models import Letter, Order
from intake.stations import Station
from quotes import drafts, offers
from quotes.models import Part, Quote, QuoteDraft
from tests.bench_orders import at_quote, make_part, make_rates, make_remedy


@pytest.fixture
def order(letterhead, technician, at):
    make_rates(at, rush_fee=Decimal(35))
    make_remedy()
    make_part(by=technician, at=at)
    return at_quote(by=technician, at=at)


@pytest.fixture(autouse=True)
def _monday(monkeypatch, at):
    monkeypatch.setattr("intake.drain.now", lambda: at)


@pytest.fixture
def bench(client, technician):
    client.force_login(technician)
    return client


def seen():
    return QuoteDraft.objects.values_list("version", flat=True).first() or 1


def post(bench, order, what, **fields):
    return bench.post(f"/sheet/{order.code}/quote/{what}/", {"draft": seen(), **fields})


def page(bench, order):
    return bench.get(f"/sheet/{order.code}/").content.decode()


def lines():
    return QuoteDraft.objects.get().lines


def build(bench, order):
    bench.get(f"/sheet/{order.code}/")
    post(bench, order, "remedy", remedy="Torn pad, jumper wire")
    post(bench, order, "part", part="flx-7", quantity="1")


def looked_at(bench, order):
    text = bench.get(f"/sheet/{order.code}/quote/review/").content.decode()
    return re.search(r'name="looked_at" value="([0-9a-f]{64})"', text)[1]


def send(bench, order, digest, **other):
    fields = {"version": order.version, "looked_at": digest, **other}
    return post(bench, order, "send", **fields)


def test_remedy_and_scanned_part_give_one_fixed_total(bench, order):
    build(bench, order)
    text = page(bench, order)
    assert [line["kind"] for line in lines()] == ["labour", "part", "post"]
    assert "112.32" in text
    assert "FLX-7, bin 3: 4 there, 0 put aside" in text


def test_part_is_found_by_a_name_that_fits_one(bench, order):
    page(bench, order)
    assert post(bench, order, "part", part="flex").status_code == 303
    assert lines()[0]["part"] == Part.objects.get().pk


@pytest.mark.parametrize(
    ("what", "fields", "sentence"),
    [
        ("part", {"part": "nothing such"}, "No part in the stockroom is called nothing such."),
        ("part", {"part": ""}, "Scan a part, or type its number or name."),
        ("part", {"part": "FLX-7", "quantity": "1.5"}, "Parts are whole pieces."),
        ("part", {"part": "FLX-7", "quantity": "0"}, "more than nought"),
        ("part", {"part": "FLX-7", "quantity": "-2"}, "not a number of pieces"),
        ("part", {"part": "FLX-7", "quantity": "NaN"}, "not a number of pieces"),
        ("part", {"part": "FLX-7", "quantity": "1000"}, "at most 999"),
        ("part", {"part": "FLX-7", "price": "-4"}, "below nought"),
        ("part", {"part": "FLX-7", "price": "4.0051"}, "2 digits after the point"),
        ("part", {"part": "FLX-7", "price": "NaN"}, "not an amount"),
        ("part", {"part": "x" * 10_000}, "it has 10000"),
        ("remedy", {"remedy": "magic"}, "No remedy is called magic."),
        ("remedy", {"remedy": "Torn pad, jumper wire", "minutes": "-5"}, "greater than or equal to 0"),
        ("other", {"kind": "media", "text": "Stick", "price": "-5"}, "Only a fee can lower the total."),
        ("other", {"kind": "fee", "text": "Gift", "price": "-500"}, "come to less than nought"),
        ("other", {"kind": "media", "text": "", "price": "5"}, "as the customer will read it"),
        ("other", {"kind": "media", "text": "Stick", "price": ""}, "there is no price"),
        ("other", {"kind": "gift", "text": "Stick", "price": "1"}, "not one of the available choices"),
    ],
)
def test_bad_line_is_refused_with_a_sentence_and_stays_typed(bench, order, what, fields, sentence):
    page(bench, order)
    before = lines()
    answer = post(bench, order, what, **fields)
    text = answer.content.decode().replace("&#x27;", "'")
    assert answer.status_code == 422
    assert sentence in text
    assert lines() == before
    if typed := fields.get("price") or fields.get("quantity"):
        assert f'value="{typed}"' in text


def test_name_that_fits_several_parts_lists_them(bench, order):
    Part.objects.create(number="FLX-8", name="Flex part, long")
    page(bench, order)
    text = post(bench, order, "part", part="flex").content.decode()
    assert "Several parts fit: FLX-7 (Flex part), FLX-8 (Flex part, long). Type the number." in text


def test_more_than_the_bin_holds_is_said_beside_the_line_and_kept(bench, order):
    page(bench, order)
    post(bench, order, "part", part="FLX-7", quantity="5")
    text = page(bench, order)
    assert "Only 4 free in the bin." in text
    assert "FLX-7 Flex part: 5 wanted, 4 free in the bin." in text


def test_line_is_changed_and_its_bad_price_stays_typed(bench, order):
    build(bench, order)
    post(bench, order, "line/2", quantity="2", price="5,50")
    assert (lines()[1]["quantity"], lines()[1]["price"]) == ("2", "5.50")
    answer = post(bench, order, "line/2", quantity="2", price="five")
    assert answer.status_code == 422
    assert 'value="five"' in answer.content.decode()
    assert lines()[1]["price"] == "5.50"


def test_line_is_taken_off_whatever_stands_in_its_fields(bench, order):
    build(bench, order)
    post(bench, order, "line/2", quantity="nonsense", remove="1")
    assert [line["kind"] for line in lines()] == ["labour", "post"]


def test_line_that_is_gone_is_said_gently(bench, order):
    page(bench, order)
    answer = post(bench, order, "line/7", quantity="1")
    assert answer.status_code in (303, 422)
    assert len(lines()) == 1


def test_change_from_another_window_is_refused_and_nothing_typed_is_lost(bench, order):
    build(bench, order)
    answer = bench.post(f"/sheet/{order.code}/quote/part/", {"draft": 1, "part": "FLX-7", "quantity": "3"})
    text = answer.content.decode()
    assert answer.status_code == 422
    assert "changed in another window" in text
    assert 'value="3"' in text
    assert f'name="draft" value="{seen()}"' in text


def test_rush_without_a_price_costs_what_the_rates_say(bench, order):
    build(bench, order)
    post(bench, order, "other", kind="rush", text="Rush, same day", price="")
    assert "147.32" in page(bench, order)


def test_reduction_is_a_fee_with_a_minus(bench, order, at):
    build(bench, order)
    post(bench, order, "other", kind="fee", text="For the wait", price="-12.32")
    assert drafts.preview(QuoteDraft.objects.get(), at=at).priced.total == 100


def test_words_and_day_are_kept_and_a_past_day_is_refused(bench, order, at):
    page(bench, order)
    assert post(bench, order, "words", words="Used part.", promise="2026-02-20").status_code == 303
    assert QuoteDraft.objects.get().promise == date(2026, 2, 20)
    answer = post(bench, order, "words", words="Other words", promise="2026-02-01")
    assert "That day is past." in answer.content.decode()
    assert "Other words</textarea>" in answer.content.decode()


def test_words_typed_but_not_kept_survive_another_line(bench, order):
    page(bench, order)
    bench.post(f"/sheet/{order.code}/quote/keep/", {"words": "Half a sent", "promise": "2026-02-20"})
    post(bench, order, "part", part="FLX-7")
    assert "Half a sent</textarea>" in page(bench, order)
    assert QuoteDraft.objects.get().words == ""


def test_sign_keeps_the_words_and_goes_to_the_last_look(bench, order):
    build(bench, order)
    answer = post(bench, order, "words", words="Used part.", promise="2026-02-20", sign="40")
    assert answer.url == f"/sheet/{order.code}/quote/review/"
    text = bench.get(answer.url).content.decode()
    assert "Used part." in text
    assert "It can be mended for" in text
    assert 'data-key="F9"' in text
    assert Order.objects.get().station == Station.QUOTE


def test_what_was_looked_at_is_sent_once(bench, order):
    build(bench, order)
    digest = looked_at(bench, order)
    for _ in range(2):
        assert send(bench, order, digest).status_code == 303
    quote = Quote.objects.get()
    assert (quote.digest, quote.total) == (digest, Decimal("112.32"))
    assert Order.objects.get().station == Station.GO_AHEAD
    assert Letter.objects.filter(kind="quote").count() == 1


@pytest.mark.parametrize("change", ["part", "rates", "draft"])
def test_what_changed_after_the_last_look_is_not_sent(bench, order, at, change):
    build(bench, order)
    digest = looked_at(bench, order)
    if change == "part":
        Part.objects.update(list_price=Decimal(9))
    elif change == "rates":
        make_rates(at + timedelta(hours=1), return_post_price=Decimal(14))
    else:
        post(bench, order, "part", part="FLX-7")
    answer = send(bench, order, digest)
    assert answer.status_code == 422
    assert "look at it once more" in answer.content.decode()
    assert not Quote.objects.exists()


def test_quote_without_work_is_not_sent(bench, order, at):
    page(bench, order)
    answer = bench.get(f"/sheet/{order.code}/quote/review/", follow=True)
    assert answer.redirect_chain[-1][0].endswith("#lines")
    assert "Add the labour first" in answer.content.decode()
    digest = offers.digest_of(drafts.preview(QuoteDraft.objects.get(), at=at).shown)
    answer = send(bench, order, digest)
    assert answer.status_code == 422
    assert "Add the labour first" in answer.content.decode()


def test_sending_from_an_old_sheet_shows_how_it_stands(bench, order):
    build(bench, order)
    answer = send(bench, order, looked_at(bench, order), version=order.version - 1)
    assert answer.status_code == 409
    assert not Quote.objects.exists()


def test_limit_says_whether_the_work_would_start_at_once(bench, order):
    Order.objects.update(standing_limit=Decimal("112.32"))
    build(bench, order)
    assert "the work is agreed at once" in page(bench, order)
    Order.objects.update(standing_limit=Decimal("112.31"))
    assert "This is above it by" in page(bench, order)


def test_technician_sees_no_cost_and_the_owner_does(bench, client, owner, order):
    Part.objects.update(list_price=None)
    build(bench, order)
    bench.get(f"/sheet/{order.code}/quote/review/")
    for text in (page(bench, order), bench.get(f"/sheet/{order.code}/quote/review/").content.decode()):
        assert "0.09" not in text
        assert "What it costs the shop" not in text
    client.force_login(owner)
    text = page(client, order)
    assert "What it costs the shop" in text
    assert "Cost 0.09 x 3 = 0.27." in text
    assert "51.49" in text


def test_look_again_keeps_the_lines_and_opens_the_diagnosis(bench, order):
    build(bench, order)
    answer = bench.post(f"/sheet/{order.code}/look-again/", {"version": order.version})
    assert answer.status_code == 303
    assert Order.objects.get().station == Station.DIAGNOSIS
    assert len(lines()) == 3
    assert "Measure, photograph the fault" in page(bench, order)


def test_keys_reach_remedy_part_and_signature_and_no_id_is_used_twice(bench, order):
    build(bench, order)
    text = page(bench, order)
    assert 'data-key="F4" data-goes-to="part_part"' in text
    assert 'form="words" data-key="F9"' in text
    ids = re.findall(r'\bid="([^"]+)"', text)
    assert {"part_part", "remedy_remedy", "words"} <= set(ids)
    assert sorted(ids) == sorted(set(ids))


def test_draft_is_not_changed_once_the_quote_is_sent(bench, order):
    build(bench, order)
    send(bench, order, looked_at(bench, order))
    answer = post(bench, order, "part", part="FLX-7")
    assert answer.status_code == 409
    assert "FLX-7" in answer.content.decode()
    assert len(lines()) == 3
