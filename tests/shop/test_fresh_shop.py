"""A shop on its first Monday: nothing but `open_shop` was done, no remedy, no part, no test list of its own. One order
walks from the request to the doorstep, once through the actions and once through the real pages."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.core.management import call_command
from django.test import Client

from intake import drain, history
from intake.drafting import FASTEST
from intake.models import Draft, Letter, Order, Person
from intake.stations import Outcome, Station
from quotes import billing
from quotes.models import Part, Remedy
from shop.models import TestSheet
from shop.opening import open_shop
from tests import walk
from tests.intake import request_walk
from tests.pressing import press
from tests.shop.test_opening import NEW

LABOUR = {"kind": "labour", "text": "Mend the microphone line", "quantity": "1", "price": "80"}
POST = {"kind": "post", "text": "Return post", "quantity": "1"}
KINDS = ["request_received", "arrived", "quote", "agreed", "mended", "paid", "on_its_way", "home"]


@pytest.fixture
def fresh(db, at):
    return open_shop(shop=NEW, at=at)


def nothing_of_its_own():
    return not (Remedy.objects.exists() or Part.objects.exists() or TestSheet.objects.exists())


def test_fresh_shop_walks_an_order_home_through_the_actions(fresh, at):
    assert nothing_of_its_own()
    order = walk.request(at=at)
    walk.receive(order, by=fresh, at=at)
    walk.find(order, by=fresh, at=at)
    walk.quote(order, by=fresh, at=at, lines=[LABOUR, POST])
    walk.answer(order, at=at)
    walk.mend(order, by=fresh, at=at)
    walk.test_and_pass(order, by=fresh, at=at)
    assert billing.balance(order) == Decimal("92.00")
    walk.send(walk.pay(order, by=fresh, at=at), by=fresh, at=at)
    walk.deliver(order, by=fresh, at=at)
    assert (order.at_station, order.outcome) == (Station.HOME, Outcome.FIXED)
    assert [letter.kind for letter in order.letters.order_by("pk")] == KINDS
    assert history.verify() is None


def test_fresh_shop_ends_a_quote_in_every_other_way(fresh, at):
    for choice in ("back", "recycle"):
        order = walk.to(walk.request(at=at), Station.QUOTE, by=fresh, at=at)
        walk.quote(order, by=fresh, at=at, lines=[LABOUR, POST])
        walk.answer(order, at=at, choice=choice)
        assert order.at_station == Station.GOODS_OUT
    order = walk.to(walk.request(at=at), Station.DIAGNOSIS, by=fresh, at=at)
    walk.find(order, by=fresh, at=at, mendable="no")
    assert (order.at_station, billing.balance(order)) == (Station.GOODS_OUT, Decimal("12.00"))


def test_fresh_shop_walks_an_order_home_through_the_pages(db):
    opened = {name: value for name, value in vars(NEW).items() if name != "area"}
    call_command("open_shop", area="", **opened, verbosity=0)
    customer, bench = Client(), Client()
    assert nothing_of_its_own()

    assert customer.get("/").status_code == 200
    request_walk.fill(customer, until="box")
    request_walk.send(customer, "box", in_the_box=["The device"], other="")
    request_walk.send(customer, "limit", standing_limit="")
    request_walk.send(customer, "photos")
    request_walk.send(customer, "you")
    Draft.objects.update(started_at=drain.now() - FASTEST - timedelta(seconds=1))
    window = request_walk.finish(customer).url
    order = Order.objects.get()
    assert "Post it to us" in customer.get(window).content.decode()

    press(bench, "/sign-in/", "/sign-in/", username="edda", password=NEW.password)
    for page in ("/bench/", "/receiving/", "/stock/", "/out/", "/books/", "/settings/", "/letters/"):
        assert bench.get(page).status_code == 200, page
    sheet = bench.get("/find/", {"q": order.code}).url

    def act(action, **typed):
        return press(bench, sheet, action, **typed)

    act("/goods-in/", parcel_state="sound", cell_state="sound", contents=["The device"], weight_grams="310")
    said = bench.get(f"{sheet}reading/understood/", {"line": "microphone bias d OL"}).json()["sentence"]
    act("/reading/", line="microphone bias d OL", echoed=said)
    act(
        "/finding/",
        fault_class="torn pad",
        words="The line is broken.",
        idea_answer="not",
        mendable="yes",
        symptom_0="yes",
    )
    act("/quote/other/", kind="labour", text="Mend the microphone line", quantity="1", price="80")
    review = act("/quote/words/", words="", sign="40").url
    press(bench, review, "/quote/send/")

    quote = order.quotes.get()
    given = {"quote": quote.digest, "choice": "mend"}
    read_back = f"/your/{order.code}/answer/?quote={quote.digest}&choice=mend"
    assert customer.get(read_back).status_code == 200
    press(customer, read_back, "/answer/", typed_name="Mara Ellwick", **given)

    act("/repair/step/", text="Fitted a wire")
    act("/repair/done/", note="Wire fitted.")
    order.refresh_from_db()
    rows = order.test_runs.get().rows.all()
    soaked = {f"reason-{row.number}": "It ran on the shelf all day." for row in rows if row.soak_minutes}
    act("/test/passed/", outcome="fixed", **{f"result-{row.number}": "ok" for row in rows}, **soaked)
    act("/money/pay/", kind="transfer", amount=str(billing.balance(order)))
    parcel = {"contents": ["The device"], "weight_grams": "310", "carrier": "Surface post", "tracking": ""}
    looked = act("/pack/", **parcel)
    assert b"cannot be called back" in looked.content
    _press_on(bench, looked, sheet, parcel)
    act("/delivered/")

    order.refresh_from_db()
    assert (order.at_station, order.outcome) == (Station.HOME, Outcome.FIXED)
    assert [letter.kind for letter in order.letters.order_by("pk")] == KINDS
    assert customer.get(window).status_code == 200
    for paper in order.papers.all():
        answer = bench.get(f"/paper/{paper.pk}/")
        assert answer.content.startswith(b"%PDF"), paper.title
    assert drain.drain() == len(KINDS) and not Letter.objects.exclude(state="sent").exists()
    assert Person.objects.count() == 1 and history.verify() is None


def _press_on(bench, looked, sheet, parcel):
    """The second press, on the page that the first one showed."""
    key = looked.content.decode().split('name="key" value="', 1)[1].split('"', 1)[0]
    version = Order.objects.values_list("version", flat=True).get()
    done = bench.post(f"{sheet}pack/", {**parcel, "key": key, "version": version, "sure": "yes"})
    assert done.status_code == 303
