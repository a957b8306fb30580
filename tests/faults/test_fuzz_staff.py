"""Every form of the staff's pages, spoiled; and hostile query strings and paths over every address, as owner and as stranger."""

import logging
import re
from collections.abc import Iterator
from random import Random

import pytest
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver

from intake import history, tokens
from intake.models import Order, Paper, Photo
from intake.stations import Station
from tests import walk
from tests.faults import hostile
from tests.faults.hostile import Form
from tests.faults.pressing_hard import Tally, post_form, send

pytestmark = [pytest.mark.faults, pytest.mark.long]
SEED = 20260203
# Signing out would end the trying; what draws a paper is slow and asks nothing of the address's query.
LEFT_OUT = ("/sign-out/",)
SLOW = re.compile(r"\.pdf$|/print/$|/label/$|^/bench/card/$|^/paper/|/paper/")
NAMES = [
    "q", "page", "before", "after", "period", "show", "sort", "change", "stopped", "by", "retired", "upto", "month", "next", "px", "history", "run",
    "again", "figure", "serial_read", "board", "point", "mode", "kind", "code", "quote", "choice", "extras", "size", "length", "amps", "rail", "nominal",
    "volts", "day", "facet", "columns", "limit", "bag", "serial",
]  # fmt: skip


@pytest.fixture(autouse=True)
def _quietly(monkeypatch) -> Iterator[None]:
    logging.disable()
    yield
    logging.disable(logging.NOTSET)


@pytest.fixture
def house(bench, at, monkeypatch) -> dict[str, Order]:
    """An order at each station, at a moment that fits."""
    monkeypatch.setattr("intake.drain.now", lambda: at)
    stations = [station for station in Station if station >= Station.GOODS_IN]
    return {
        station.name: walk.to(walk.request(at=at), station, by=bench.technician, at=at)
        for station in stations
    }


def signed_in(person) -> Client:
    client = Client()
    client.force_login(person)
    return client


def patterns(found=None, before="") -> Iterator[tuple[str, str]]:
    """(route, name) of every address of the house."""
    for pattern in found if found is not None else get_resolver().url_patterns:
        route = before + str(pattern.pattern)
        if isinstance(pattern, URLResolver):
            yield from patterns(pattern.url_patterns, route)
        elif isinstance(pattern, URLPattern):
            yield route, pattern.name or ""


def filled(route: str, given: dict[str, str]) -> str:
    return "/" + re.sub(r"<(?:\w+:)?(\w+)>", lambda match: given.get(match[1], "1"), route)


def given_for(order: Order) -> dict[str, str]:
    return {
        "code": order.code, "token": tokens.address_of(tokens.give_link(order, at=walk_at())).rstrip("/").rpartition("/")[2], "step": "device",
        "photo_id": str(Photo.objects.values_list("pk", flat=True).first() or 1), "key": "time-clocks", "kind": "phone", "ending": "csv",
        "paper_id": str(Paper.objects.values_list("pk", flat=True).first()), "provider": "offline", "month": "2026-01", "name": "a.csv", "ident": "x",
    }  # fmt: skip


def walk_at():
    from tests.window_pages import AT

    return AT


def addresses(house: dict[str, Order], *, of: str = "") -> list[str]:
    """Every address once for the order at one station, or for those at every station."""
    found: dict[str, None] = {}
    for order in [house[of]] if of else house.values():
        given = given_for(order)
        found |= dict.fromkeys(filled(route, given) for route, _ in patterns())
    return [address for address in found if address not in LEFT_OUT and not SLOW.search(address)]


def that_can_be_read(client: Client, found: list[str]) -> list[str]:
    return [
        address
        for address in found
        if send(client, Tally(), method="GET", address=address).status_code != 405
    ]


def all_forms(client: Client, pages: list[str]) -> list[Form]:
    """Every form that a page of the house shows, once for each address it goes to."""
    found: dict[str, Form] = {}
    for address in pages:
        answer = client.get(address)
        if answer.status_code == 200 and "html" in answer.headers.get("Content-Type", ""):
            for form in hostile.forms_in(answer.content.decode(), address=address):
                if form.action.startswith("/") and form.action not in LEFT_OUT:
                    found.setdefault(f"{form.method} {form.action}", form)
    return list(found.values())


def held(tally: Tally) -> None:
    print(tally)
    assert not tally.clean(), tally.clean()
    assert history.verify() is None


def pages_of(house: dict[str, Order]) -> list[str]:
    sheets = [f"/sheet/{order.code}/" for order in house.values()]
    return [*addresses(house, of="DIAGNOSIS"), *sheets]


def test_fuzz_staff_forms(size, house, bench):
    """Each form of each page: as the owner, who has them all."""
    client, tally, rng = signed_in(bench.owner), Tally(), Random(SEED)
    forms = all_forms(client, pages_of(house))
    assert len(forms) > 80
    for number in range(size(60, 60_000)):
        form = forms[number % len(forms)]
        files = ("file", "photos", "list") if rng.random() < 0.03 else ()
        post_form(client, tally, form, rng, files=files)
    held(tally)


def test_fuzz_staff_addresses_posted_without_their_page(size, house, bench):
    """Fields that a page never sends, at each address that takes a post."""
    client, tally, rng = signed_in(bench.owner), Tally(), Random(SEED)
    names = [
        *NAMES,
        "version",
        "form_key",
        "amount",
        "words",
        "why",
        "text",
        "note",
        "at",
        "minutes",
        "part",
        "quantity",
        "number",
        "file",
    ]
    found = addresses(house)
    for _ in range(size(40, 20_000)):
        form = Form(rng.choice(found), "post", [(name, "1") for name in rng.sample(names, 8)])
        post_form(client, tally, form, rng)
    held(tally)


def test_fuzz_query_strings_over_every_address(size, house, bench):
    """As the owner, and as somebody whom nobody knows."""
    owner, tally, rng = signed_in(bench.owner), Tally(), Random(SEED)
    pages = that_can_be_read(owner, addresses(house, of="DIAGNOSIS"))
    for client in (owner, Client()):
        for number in range(size(50, 10_000)):
            address = rng.choice(pages) if number % 2 else pages[number // 2 % len(pages)]
            send(client, tally, method="GET", address=f"{address}?{hostile.query(NAMES, rng)}")
    held(tally)


def odd_part(rng: Random) -> str:
    plain = [
        "0",
        "-1",
        "9" * 18,
        "9223372036854775807",
        "9223372036854775808",
        "9" * 400,
        "1e9",
        "9999-12",
        "0000-00",
        "0001-01",
        "10000-01",
        "2026-13",
        "AAAA-AAAA",
    ]
    return (
        rng.choice(plain)
        if rng.random() < 0.6
        else hostile.quote_from_bytes(hostile.value(rng)[:300], safe="") or "x"
    )


def test_fuzz_parts_of_the_path(size, house, bench):
    """Numbers past every limit, months that never were, bytes that are no text, where an address names a row."""
    tally, rng, given = Tally(), Random(SEED), given_for(house["DIAGNOSIS"])
    routes = [route for route, _ in patterns() if "<" in route]
    for client in (signed_in(bench.owner), Client()):
        for number in range(size(50, 10_000)):
            route = rng.choice(routes) if number % 2 else routes[number // 2 % len(routes)]
            parts = re.findall(r"<(?:\w+:)?(\w+)>", route)
            odd = {name: odd_part(rng) for name in rng.sample(parts, rng.randrange(1, len(parts) + 1))}
            method, kind = rng.choice(["GET", "GET", "POST"]), "application/x-www-form-urlencoded"
            send(client, tally, method=method, address=filled(route, {**given, **odd}), kind=kind)
    held(tally)
