"""The stock: the ledger, one part with its moves, and every wrong number answered beside its field."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.test import Client

from intake.lifecycle import staff as as_actor
from intake.stations import Station
from quotes import stock
from quotes.models import Move, Part
from shop.stockroom import queries
from tests import walk


@pytest.fixture
def client(bench):
    client = Client()
    client.force_login(bench.technician)
    return client


@pytest.fixture
def owner(bench):
    client = Client()
    client.force_login(bench.owner)
    return client


@pytest.fixture
def wire(bench):
    return Part.objects.get(number="WIRE-002")


def read(client, url):
    return client.get(url).content.decode()


def sums(part):
    moves = list(part.moves.all())
    return sum(m.on_hand_change for m in moves), sum(m.reserved_change for m in moves)


def test_ledger_lies_by_bin_and_a_technician_sees_no_cost(client, owner):
    text = read(client, "/stock/")
    start = text.index("The ledger")
    places = [text.index(f">{number}<", start) for number in ("CAP-10U", "WIRE-002", "CHG-S2", "DON-Q3")]
    assert places == sorted(places)
    assert "Cost" not in text and "70.10" not in text
    assert "Cost" in read(owner, "/stock/") and "70.10" in read(owner, "/stock/")


def test_scanned_number_leads_to_its_part_and_words_to_a_list(client, wire):
    assert client.get("/stock/?q=wire-002").url == f"/stock/{wire.pk}/"
    assert client.get("/find/?q=WIRE-002").url == f"/stock/{wire.pk}/"
    text = read(client, "/stock/?q=charge+zarnik")
    assert "SOCK-C7" not in text and "CHG-T9" in text
    assert "No part has that" in read(client, "/stock/?q=%00nothing")


def test_short_for_the_open_sheets_stands_on_top(client, bench, at, wire):
    assert "Short for the sheets" not in read(client, "/stock/")
    Part.objects.filter(pk=wire.pk).update(on_hand=0)
    order = walk.to(walk.request(at=at), Station.REPAIR, by=bench.technician, at=at)
    text = read(client, "/stock/")
    assert "Short for the sheets now open" in text and order.code in text
    assert [(row.part, row.wanted) for row in queries.short_now()] == [(wire, 1)]


def test_part_is_received_once_and_the_cost_moves(client, owner, wire):
    fields = {
        "quantity": "60",
        "unit_cost": "0,1234",
        "supplier": "Tin Street",
        "note": "Order 7",
        "key": "in-1",
    }
    for _ in range(2):
        assert client.post(f"/stock/{wire.pk}/receive/", fields).status_code == 303
    wire.refresh_from_db()
    assert (wire.on_hand, wire.unit_cost) == (120, Decimal("0.1067"))
    assert sums(wire) == (120, 0)
    assert "Received: Order 7" in read(client, f"/stock/{wire.pk}/")


@pytest.mark.parametrize(
    ("act", "fields", "sentence"),
    [
        ("receive", {"quantity": "0", "unit_cost": "1", "supplier": "x"}, "cannot be below 1"),
        ("receive", {"quantity": "-4", "unit_cost": "1", "supplier": "x"}, "cannot be below 1"),
        ("receive", {"quantity": "100001", "unit_cost": "1", "supplier": "x"}, "more than a bin holds"),
        ("receive", {"quantity": "9" * 30, "unit_cost": "1", "supplier": "x"}, "more than a bin holds"),
        ("receive", {"quantity": "two", "unit_cost": "1", "supplier": "x"}, "whole number"),
        ("receive", {"quantity": "1", "unit_cost": "-1", "supplier": "x"}, "cannot be below nought"),
        ("receive", {"quantity": "1", "unit_cost": "1", "supplier": ""}, "where they came from"),
        ("count", {"counted": "-1", "why": "x"}, "cannot be below 0"),
        ("count", {"counted": "59", "why": " "}, "Say why the count differs."),
        ("describe", {"name": "", "list_price": "4"}, "Say what it is."),
        ("describe", {"name": "Wire", "list_price": "-4"}, "cannot be below nought"),
        ("describe", {"name": "Wire", "reorder_at": "-1"}, "cannot be below 0"),
        ("describe", {"name": "Wire"}, "60 still lie in the bin"),
    ],
)
def test_wrong_number_is_answered_beside_its_field_and_kept(client, wire, act, fields, sentence):
    answer = client.post(f"/stock/{wire.pk}/{act}/", {"key": "k", **fields})
    text = answer.content.decode()
    assert answer.status_code == 422 and sentence in text
    kept = next(iter(fields.values()))
    assert f'value="{kept}"' in text or not kept
    wire.refresh_from_db()
    assert (wire.on_hand, wire.name) == (60, "Jumper wire 0.02 mm, per job")
    assert not Move.objects.filter(key="k").exists()


def test_count_never_goes_below_what_is_put_aside(client, bench, at, wire):
    walk.to(walk.request(at=at), Station.REPAIR, by=bench.technician, at=at)
    answer = client.post(f"/stock/{wire.pk}/count/", {"counted": "0", "why": "gone", "key": "c"})
    assert answer.status_code == 422 and "put aside for orders" in answer.content.decode()
    client.post(f"/stock/{wire.pk}/count/", {"counted": "58", "why": "two on the floor", "key": "c"})
    wire.refresh_from_db()
    assert (wire.on_hand, wire.reserved) == sums(wire) == (58, 1)


def test_new_part_is_put_in_once_whatever_the_letters(client):
    fields = {
        "number": "scr-9",
        "name": "Screw",
        "condition": "new",
        "bin": "C9",
        "active": "on",
        "list_price": "",
    }
    assert client.post("/stock/new/", fields).status_code == 303
    part = Part.objects.get(number="SCR-9")
    assert (part.on_hand, part.list_price) == (0, None)
    again = client.post("/stock/new/", {**fields, "number": "SCR-9"})
    assert again.status_code == 422 and "SCR-9 is in the stock already." in again.content.decode()
    bad = client.post("/stock/new/", {**fields, "number": "sc r!"})
    assert bad.status_code == 422 and "so that it can be scanned" in bad.content.decode()


def test_part_is_changed_and_can_be_retired_when_its_bin_is_empty(client, wire):
    fields = {"name": "Wire", "fits": "any", "bin": "A9", "list_price": "5.50", "reorder_at": "70"}
    client.post(f"/stock/{wire.pk}/describe/", {**fields, "active": "on"})
    wire.refresh_from_db()
    assert (wire.bin, wire.list_price, wire.on_hand) == ("A9", Decimal("5.50"), 60)
    assert "Buy more" in read(client, "/stock/") and wire in queries.running_low()
    client.post(f"/stock/{wire.pk}/count/", {"counted": "0", "why": "sold off", "key": "z"})
    client.post(f"/stock/{wire.pk}/describe/", fields)
    assert "WIRE-002" not in read(client, "/stock/") and "WIRE-002" in read(client, "/stock/?retired=1")


def test_moves_are_paged_by_key_without_a_gap(client, bench, at, wire):
    who = as_actor(bench.technician)
    for number in range(60):
        stock.receive(
            part=wire,
            quantity=1,
            unit_cost=Decimal(1),
            key=f"m{number}",
            by=who,
            at=at + timedelta(minutes=number // 4),
        )
    seen, before = [], 0
    while True:
        moves, older = queries.moves_of(wire, before=before)
        seen += [move.pk for move in moves]
        if older is None:
            break
        before = older
    assert len(seen) == len(set(seen)) == wire.moves.count()
    assert f"?before={queries.moves_of(wire)[1]}" in read(client, f"/stock/{wire.pk}/")


def test_ledger_is_paged_by_key_without_a_gap(bench):
    Part.objects.bulk_create(Part(number=f"N-{n:03d}", name="Nut", bin=f"Z{n % 3}") for n in range(230))
    seen, after = [], 0
    while True:
        page = queries.ledger(words="nut", after=after)
        seen += [part.number for part in page.parts]
        if page.after is None:
            break
        after = page.after
    assert len(seen) == len(set(seen)) == 230


def test_cost_of_a_move_is_the_owners_to_see(client, owner, wire):
    assert "moving average" not in read(client, f"/stock/{wire.pk}/")
    assert "moving average" in read(owner, f"/stock/{wire.pk}/")


def test_strangers_are_asked_to_sign_in(wire):
    assert "/sign-in/" in Client().get("/stock/").url
    assert "/sign-in/" in Client().post(f"/stock/{wire.pk}/count/", {"counted": "1"}).url
