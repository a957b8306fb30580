"""Ten thousand hostile postings of each form that anybody can reach: never a server error, never an answer lost."""

import json
import logging
from random import Random
from types import SimpleNamespace

import pytest
from django.test import Client
from django.urls import reverse

from intake import drafting, history
from intake.models import Draft
from intake.stations import Station
from quotes.cards import provider
from shop.banking.pretending import offline_provider
from shop.pictures import phone_views
from shop.window import doors, views
from tests import walk, window_pages
from tests.faults import hostile
from tests.faults.hostile import Form
from tests.faults.pressing_hard import Tally, post_form, send
from tests.intake import request_walk

pytestmark = [pytest.mark.faults, pytest.mark.long]
SEED = 20260202


@pytest.fixture(autouse=True)
def _nobody_is_slowed_down(bench, monkeypatch):
    """The limits on how often one may try are not what is tried here."""
    monkeypatch.setattr(drafting, "STARTED_A_DAY", 10**9)
    monkeypatch.setattr(drafting, "SENT_A_DAY", 10**9)
    monkeypatch.setattr(doors, "SAME_TIME", 0.0)
    monkeypatch.setattr(views, "QUESTIONS_AN_HOUR", 10**9)
    for module in (doors, views, phone_views):
        monkeypatch.setattr(module, "too_many", lambda *_, **__: False)
    logging.disable()
    yield
    logging.disable(logging.NOTSET)


def held(tally: Tally) -> None:
    print(tally)
    assert not tally.clean(), tally.clean()
    assert history.verify() is None


def page_forms(client: Client, address: str) -> list[Form]:
    answer = client.get(address)
    assert answer.status_code == 200, (address, answer.status_code)
    return hostile.forms_in(answer.content.decode(), address=address)


# The request, page by page.


@pytest.mark.parametrize("slug", request_walk.SLUGS)
def test_fuzz_request_page_loses_no_answer(size, slug):
    rng, tally, client = Random(f"{SEED}{slug}"), Tally(), Client()
    request_walk.fill(client, until=slug)
    draft = Draft.objects.get() if slug != "device" else None
    before = draft.answers["steps"] if draft else {}
    (form,) = [
        form
        for form in page_forms(client, request_walk.url(slug))
        if form.method == "post" and slug in form.action
    ]
    files = ("photos",) if slug == "photos" else ()
    for number in range(size(10, 10_000 if not files else 1_000)):
        post_form(
            client,
            tally,
            form,
            rng,
            files=files if rng.random() < 0.3 else (),
            keep=slug != "check" and number % 3 == 0,
        )
        if draft and number % 10 == 0:
            kept = Draft.objects.get(pk=draft.pk).answers["steps"]
            assert {name: kept[name] for name in before if name != slug} == {
                name: before[name] for name in before if name != slug
            }
    held(tally)
    if slug != "check":
        assert request_walk.send(client, slug).status_code == 303


def test_fuzz_finding_a_draft_again(size):
    rng, tally = Random(SEED), Tally()
    form = Form(
        "/request/device/",
        "post",
        [("draft", "x"), ("kind", "phone"), ("make", "Zarnik"), ("act", "continue")],
    )
    for _ in range(size(10, 10_000)):
        client = Client()
        client.cookies["draft"] = hostile.value(rng)[:100].decode("latin-1")
        post_form(client, tally, form, rng)
    held(tally)


# The doors.


def test_fuzz_lost_link(size):
    rng, tally, client = Random(SEED), Tally(), Client()
    order = walk.request(at=walk_at())
    form = Form("/lost-link/", "post", [("code", order.code), ("email", "mara.ellwick@example.com")])
    for _ in range(size(20, 10_000)):
        post_form(client, tally, form, rng)
    held(tally)


def test_fuzz_sign_in(size):
    rng, tally, client = Random(SEED), Tally(), Client()
    form = Form(
        "/sign-in/", "post", [("username", "pim"), ("password", "wrong-for-sure"), ("next", "/bench/")]
    )
    for _ in range(size(20, 10_000)):
        post_form(client, tally, form, rng)
    held(tally)


def test_fuzz_links_with_any_token(size):
    rng, tally, client = Random(SEED), Tally(), Client()
    for _ in range(size(20, 10_000)):
        token = hostile.quote_from_bytes(hostile.value(rng)[:2000], safe="") or "x"
        for beginning in ("/l/", "/request/resume/", "/phone/"):
            send(client, tally, method="GET", address=f"{beginning}{token}/")
    held(tally)


def walk_at():
    return window_pages.AT


# The customer's window.


def window_of(station: str, bench, at, monkeypatch) -> SimpleNamespace:
    """An order at a station, its customer's browser, and every form the window shows there."""
    monkeypatch.setattr("intake.drain.now", lambda: at)
    order = walk.request(at=at)
    walk.to(order, Station[station], by=bench.technician, at=at)
    client = window_pages.let_in(order, Client())
    window = reverse("shop:window", args=[order.code])
    forms = page_forms(client, window)
    if station == "GO_AHEAD":
        quote = order.quotes.get()
        review = f"{window}answer/?quote={quote.digest}&choice=mend"
        forms += page_forms(client, review)
    code = reverse("shop:own_code", args=[order.code])
    if client.get(code).status_code == 200:
        forms += page_forms(client, code)
    mine = {f"{form.method} {form.action}": form for form in forms if order.code in form.action}
    return SimpleNamespace(order=order, client=client, forms=list(mine.values()))


@pytest.mark.parametrize("station", ["GOODS_IN", "DIAGNOSIS", "GO_AHEAD", "REPAIR", "GOODS_OUT", "HOME"])
def test_fuzz_window(size, station, bench, at, monkeypatch):
    rng, tally = Random(f"{SEED}{station}"), Tally()
    place = window_of(station, bench, at, monkeypatch)
    assert place.forms
    for form in place.forms:
        for number in range(size(6, 10_000)):
            keep = number % 50 == 49 and form.action.endswith("/ask/")
            post_form(place.client, tally, form, rng, keep=keep)
    held(tally)


def test_fuzz_window_acts_that_are_not_on_the_page(size, bench, at, monkeypatch):
    """Every act at any station, whether the page offers it or not."""
    rng, tally = Random(SEED), Tally()
    acts = {
        "posted": ["tracking"], "withdraw": ["version"], "ask": ["form_key", "text"], "stop": ["version"],
        "answer": ["quote", "choice", "extras", "typed_name"], "card": ["form_key"], "card/back": [],
        "unlock-code": ["shape", "code", "form_key"], "unlock-code/erase": ["version"], "copy/1/list": ["version"],
    }  # fmt: skip
    for station in ("GOODS_IN", "GO_AHEAD", "WAY_HOME"):
        place = window_of(station, bench, at, monkeypatch)
        for act, names in acts.items():
            form = Form(f"/your/{place.order.code}/{act}/", "post", [(name, "1") for name in names])
            for _ in range(size(2, 2_000)):
                post_form(place.client, tally, form, rng)
    held(tally)


# Card reports, signed and not.


def reports(rng: Random) -> bytes:
    told = {
        "ident": "one", "kind": "paid", "checkout": "pretend-1", "amount": "12.00", "currency": "USD", "fee": "0.30",
        "why": "", "at": "2026-02-02T09:00:00+00:00", "answer_by": "",
    }  # fmt: skip
    for name in rng.sample(list(told), rng.randrange(3)):
        told[name] = rng.choice(
            [
                None,
                [],
                {},
                True,
                1e308,
                10**30,
                "\ud800",
                "\0",
                hostile.value(rng)[:2000].decode("utf-8", "replace"),
            ]
        )
    made = json.dumps(told).encode()
    if rng.random() < 0.2:
        made = rng.choice(
            [
                made[: rng.randrange(len(made))],
                b"null",
                b"[1]",
                b"[" * 30_000,
                b'{"amount": NaN}',
                made.decode().encode("utf-16"),
                rng.randbytes(50),
            ]
        )
    return made


@pytest.mark.parametrize("signed", [True, False])
def test_fuzz_card_reports(size, signed, bench, monkeypatch):
    rng, tally, client = Random(SEED), Tally(), Client()
    known = offline_provider()
    monkeypatch.setitem(provider._providers, known.name, known)
    for _ in range(size(30, 10_000)):
        made = reports(rng)
        headers = (
            known.sign(made)
            if signed
            else {"X-Offline-Signature": hostile.value(rng)[:200].decode("latin-1")}
        )
        kind = rng.choice(
            [
                "application/json",
                "application/json",
                "",
                "text/plain",
                "application/x-www-form-urlencoded",
                "multipart/form-data",
            ]
        )
        send(
            client,
            tally,
            method="POST",
            address="/cards/offline/events/",
            body=made,
            kind=kind,
            headers=headers,
            keep=signed,
        )
    held(tally)
