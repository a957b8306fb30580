"""Station 40 and 50 beyond the common quote: further choices, extras, a surcharge, a deposit, a moved price."""

import re
from decimal import Decimal

import pytest

from intake.models import Order
from intake.stations import Station
from quotes.models import Decision, Part, Quote, QuoteDraft, Surcharge
from tests.bench_orders import at_quote, make_part, make_rates, make_remedy


@pytest.fixture
def order(letterhead, technician, at):
    make_rates(at)
    make_remedy()
    make_part(by=technician, at=at)
    return at_quote(by=technician, at=at)


@pytest.fixture(autouse=True)
def _monday(monkeypatch, at):
    monkeypatch.setattr("intake.drain.now", lambda: at)


@pytest.fixture
def bench(client, technician, order):
    client.force_login(technician)
    client.get(f"/sheet/{order.code}/")
    post(client, order, "remedy", remedy="Torn pad, jumper wire")
    post(client, order, "part", part="flx-7")
    return client


def post(bench, order, what, **fields):
    version = QuoteDraft.objects.values_list("version", flat=True).first() or 1
    return bench.post(f"/sheet/{order.code}/quote/{what}/", {"draft": version, **fields})


def page(bench, order):
    return bench.get(f"/sheet/{order.code}/").content.decode().replace("&#x27;", "'")


def send(bench, order):
    order.refresh_from_db()
    text = bench.get(f"/sheet/{order.code}/quote/review/", follow=True).content.decode()
    digest = re.search(r'name="looked_at" value="([0-9a-f]{64})"', text)[1]
    assert post(bench, order, "send", version=order.version, looked_at=digest).status_code == 303
    return Quote.objects.latest("revision")


def with_data(bench, order):
    post(bench, order, "choices", data_on="on", data_chance="poor", data_warranty_days="")
    post(bench, order, "other", kind="labour", text="Save the data", price="60", choice="data")


def test_each_field_of_a_choice_has_its_own_name(bench, order):
    text = page(bench, order)
    for words in ("In a sentence", "What happens to the data", "What happens if it fails", "Warranty, days"):
        assert text.count(f">{words}") == 3


def test_common_quote_asks_nothing_of_further_choices(bench, order):
    text = page(bench, order)
    assert 'id="remedy_choice"' not in text
    assert "What each choice comes to" not in text
    assert "Deposit for the special part" not in text
    assert [row["choice"] for row in send(bench, order).shown["choices"]] == ["mend", "back", "recycle"]


def test_data_only_is_offered_with_its_own_price_and_chance(bench, order):
    with_data(bench, order)
    text = page(bench, order)
    assert "What each choice comes to" in text
    assert 'id="remedy_choice"' in text
    quote = send(bench, order)
    data = quote.choices.get(choice="data")
    assert (data.total, data.chance.split(".")[0]) == (Decimal(72), "Poor")
    assert "Save the data only, $72.00" in page(bench, order).replace("US$", "$")


def test_choice_without_labour_is_refused_in_the_review_beside_the_lines(bench, order):
    post(bench, order, "choices", clean_on="on")
    answer = bench.get(f"/sheet/{order.code}/quote/review/", follow=True)
    assert answer.redirect_chain == [(f"/sheet/{order.code}/#lines", 303)]
    assert "Clean it, without a promise: add its labour first" in answer.content.decode()


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"data_promise": "2026-02-01"}, "That day is past."),
        ({"data_promise": "soon"}, "Write the day as"),
        ({"data_warranty_days": "-1"}, "greater than or equal to 0"),
        ({"mend_chance": "certain"}, "not one of the available choices"),
        ({"clean_chance_words": "x" * 10_000}, "it has 10000"),
    ],
)
def test_wrong_words_of_a_choice_are_refused_and_stay_typed(bench, order, fields, sentence):
    answer = post(bench, order, "choices", data_on="on", data_data_words="On a stick.", **fields)
    text = answer.content.decode()
    assert answer.status_code == 422
    assert sentence in text
    assert 'value="On a stick."' in text
    assert QuoteDraft.objects.get().choices == {}


def test_line_becomes_an_extra_by_its_tick_and_is_named_by_itself(bench, order):
    post(bench, order, "line/2", quantity="1", choice="mend", optional="on", extra_text="")
    assert (QuoteDraft.objects.get().lines[1]["extra"]) == "e1"
    assert "Optional extra: Flex part" in page(bench, order)
    quote = send(bench, order)
    assert quote.shown["choices"][0]["totals"] == {"": "108.00", "e1": "112.32"}


def test_line_is_moved_to_another_choice_and_back(bench, order):
    post(bench, order, "line/1", quantity="1", choice="data", extra_text="")
    assert QuoteDraft.objects.get().choices == {"data": {"on": True}}
    assert "Add the labour first" in page(bench, order)
    post(bench, order, "line/1", quantity="1", choice="mend", extra_text="")
    assert "Save the data only: add its labour first" in page(bench, order)


def test_surcharge_of_the_price_book_is_added_and_explained(bench, order):
    rush = Surcharge.objects.create(name="Rush", kind="rush", percent=Decimal(15))
    assert post(bench, order, "surcharge", surcharge=rush.pk).status_code == 303
    text = page(bench, order)
    assert "15 % of labour and parts = 15.00." in text
    assert "127.32" in text


def test_surcharge_that_is_gone_is_said_gently(bench, order):
    gone = Surcharge.objects.create(name="Rush", kind="rush", percent=Decimal(15), active=False)
    answer = post(bench, order, "surcharge", surcharge=gone.pk)
    assert answer.status_code == 422
    assert "not in the price book any more" in answer.content.decode()


def test_deposit_is_asked_for_a_special_part_only(bench, order):
    answer = post(bench, order, "deposit", deposit="40")
    assert answer.status_code == 422
    assert "only for a special part" in answer.content.decode()
    Part.objects.update(special=True)
    assert "Deposit for the special part" in page(bench, order)
    assert post(bench, order, "deposit", deposit="40").status_code == 303
    assert send(bench, order).deposit == Decimal(40)
    assert "Deposit, after a yes" in page(bench, order)


def test_answer_by_phone_takes_choice_and_extras_with_the_total_that_was_read_out(bench, order):
    post(bench, order, "line/2", quantity="1", choice="mend", optional="on", extra_text="New flex")
    with_data(bench, order)
    quote = send(bench, order)
    given = {
        "looked_at": quote.digest,
        "choice": "mend",
        "extras": ["e1"],
        "channel": "phone",
        "typed_name": "Mara Ellwick",
        "called_number": "555-0101",
        "spoken_at": "2026-02-02T09:00",
        "conditions": "none",
        "read_out": "on",
    }
    url = f"/sheet/{order.code}/answer/"
    assert "112.32 in all" in bench.post(url, {**given, "read_total": "108"}).content.decode()
    refused = bench.post(url, {**given, "choice": "data", "read_total": "72", "data": "on"})
    assert "New flex does not go with this answer." in refused.content.decode()
    assert bench.post(url, {**given, "read_total": "112.32"}).status_code == 303
    decision = Decision.objects.get()
    assert (decision.extras, decision.amount) == (["e1"], Decimal("112.32"))
    assert Order.objects.get().station == Station.REPAIR
    assert "mend it with New flex" in page(bench, order)


def test_reopened_quote_says_that_its_prices_have_moved(bench, order, at):
    send(bench, order)
    Part.objects.update(list_price=Decimal(9))
    order.refresh_from_db()
    answer = bench.post(f"/sheet/{order.code}/reopen/", {"version": order.version}, follow=True)
    text = answer.content.decode()
    assert "The prices have moved: revision 1 came to" in text
    assert "117.72" in text
    assert "What has changed since quote 1" in text


def test_total_is_explained_and_the_technician_sees_no_cost(bench, order, client, owner):
    Part.objects.update(list_price=None)
    text = page(bench, order)
    assert "the total step by step" in text
    assert "0.09" not in text
    client.force_login(owner)
    assert "Cost 0.09 x 3 = 0.27." in page(client, order)


def test_no_id_is_used_twice_with_everything_open(bench, order):
    Part.objects.update(special=True)
    Surcharge.objects.create(name="Rush", kind="rush", percent=Decimal(15))
    with_data(bench, order)
    ids = re.findall(r'\bid="([^"]+)"', page(bench, order))
    assert sorted(ids) == sorted(set(ids))
