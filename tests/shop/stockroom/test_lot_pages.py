"""Lots: a delivery becomes one, its label, where its pieces went, and what stopping it sets off."""

import io
from decimal import Decimal

import pypdf
import pytest
from django.test import Client

from intake.models import HistoryEntry
from intake.refusals import Refused
from intake.stations import SlipReason, Station
from quotes import lots, stock
from quotes.models import Lot, Move, Part
from shop.bench import repair
from shop.models import ComebackCause
from shop.stockroom import lot_rows
from shop.stockroom import lots as stock_lots
from tests import walk
from tests.paper_samples import codes_of


@pytest.fixture
def client(bench):
    client = Client()
    client.force_login(bench.technician)
    return client


@pytest.fixture
def wire(bench):
    return Part.objects.get(number="WIRE-002")


@pytest.fixture
def lot(wire, bench, at):
    lot = stock_lots.receive_lot(
        part=wire, quantity=5, unit_cost=Decimal("0.09"), supplier="Tin Street", marks="2405", note="",
        key="in", by=bench.technician, at=at,
    )  # fmt: skip
    wire.refresh_from_db()
    return lot


@pytest.fixture
def order(bench, at):
    return walk.to(walk.request(at=at), Station.REPAIR, by=bench.technician, at=at)


def read(client, url):
    answer = client.get(url)
    assert answer.status_code == 200
    return answer.content.decode()


def test_delivery_becomes_one_lot_however_often_it_is_pressed(client, wire):
    fields = {
        "quantity": "6",
        "unit_cost": "0.11",
        "supplier": "Tin Street",
        "marks": "2405 B",
        "key": "in-1",
    }
    for _ in range(2):
        answer = client.post(f"/stock/{wire.pk}/receive/", fields, follow=True)
        assert "6 received into bin A2 as lot L-0001. Print its label below." in answer.content.decode()
    lot = Lot.objects.get()
    assert (lot.part, lot.supplier, lot.marks, lots.pieces_of(lot)) == (wire, "Tin Street", "2405 B", 6)
    text = read(client, f"/stock/{wire.pk}/")
    assert "L-0001" in text and "Tin Street, 2405 B" in text and "Received: from Tin Street" in text


def test_lot_is_found_by_its_scanned_number_and_by_words(client, lot):
    for url in ("/stock/?q=l-0001", "/stock/lots/?q=L-0001", "/find/?q=L-0001"):
        assert client.get(url).url == f"/stock/lots/{lot.pk}/"
    assert "L-0001" in read(client, "/stock/lots/?q=tin+2405")
    assert "No lot is like that." in read(client, "/stock/lots/?q=tin&stopped=1")
    assert "No lot is like that." in read(client, "/stock/lots/?q=nothing&before=99999999999999999999")


def test_label_names_part_lot_and_bin_and_reads_back(client, lot):
    answer = client.get(f"/stock/lots/{lot.pk}/label/")
    assert answer["Content-Type"] == "application/pdf"
    text = pypdf.PdfReader(io.BytesIO(answer.content)).pages[0].extract_text()
    assert "L-0001" in text and "WIRE-002" in text and "Bin A2" in text and "Tin Street" in text
    assert codes_of(answer.content) == {("Code128", "L-0001")}


def test_label_of_a_donor_part_says_so(client, bench, at):
    part = Part.objects.get(number="DON-Q3")
    lot = lots.open_lot(part=part, supplier="Donor board 12", marks="", by=bench.technician, at=at)
    answer = client.get(f"/stock/lots/{lot.pk}/label/")
    assert "from a donor board" in pypdf.PdfReader(io.BytesIO(answer.content)).pages[0].extract_text()


def test_page_of_a_lot_says_where_its_pieces_went_and_came_back(client, lot, order, bench, at, wire):
    who = {"by": bench.technician, "at": at}
    repair.use_part(order=order, part=wire, quantity=1, lot=lot, key="f", **who)
    repair.use_part(
        order=order, part=wire, quantity=2, lot=lot, key="s", spoiled=True, why="Bad on arrival: open", **who
    )
    again = walk.request(at=at)
    again.comeback_of = order
    again.save()
    ComebackCause.objects.create(
        order=again, key="c", cause="lot", words="The wire was dead.", lot=lot, covered=True, **who
    )
    row = lot_rows.rows([lot])[0]
    assert (row.came, row.here, row.fitted, row.spoiled, row.bad) == (5, 2, 1, 2, 2)
    text = read(client, f"/stock/lots/{lot.pk}/")
    assert order.code in text and again.code in text and "The wire was dead." in text
    assert "Bad on arrival: 2 of 5" in text and "Mara Ellwick" in text
    repair.put_back(move=Move.objects.get(key="f"), **who)
    assert "No order holds a piece of it." in read(client, f"/stock/lots/{lot.pk}/")


def test_stopped_lot_says_why_and_can_be_opened_again(client, lot):
    url = f"/stock/lots/{lot.pk}"
    for fields, sentence in (({"reason": ""}, "Choose why"), ({"reason": "other"}, "Say why it is stopped.")):
        answer = client.post(f"{url}/stop/", fields)
        assert answer.status_code == 422 and sentence in answer.content.decode()
    client.post(f"{url}/stop/", {"reason": "sample", "words": "2 of 5 read open"})
    text = read(client, f"{url}/")
    assert "Sample test failed: 2 of 5 read open" in text and "Stop the lot" not in text
    assert "5 of them lie in a stopped lot" in read(client, f"/stock/{lot.part_id}/")
    assert "L-0001" in read(client, "/stock/lots/?stopped=1")
    assert client.post(f"{url}/open/", {"why": ""}).status_code == 422
    client.post(f"{url}/open/", {"why": "Measured again, all good"})
    lot.refresh_from_db()
    assert lot.stopped_at is None
    told = HistoryEntry.objects.filter(what__startswith="lot ").values_list("what", flat=True)
    assert list(told) == ["lot opened", "lot stopped", "lot opened again"]


def test_stopping_leaves_the_order_that_had_it_aside_waiting_for_the_part(
    client, lot, order, wire, bench, at
):
    stock.count(part=wire, counted=5, key="c", why="used", by=_actor(bench), at=at)
    answer = client.post(f"/stock/lots/{lot.pk}/stop/", {"reason": "recall"}, follow=True)
    assert f"These orders wait for the part now: {order.code}." in answer.content.decode()
    slip = order.slips.get(reason=SlipReason.PART, ended_at__isnull=True)
    assert slip.note == "WIRE-002: lot L-0001 is stopped." and stock.set_aside(order) == {}
    with pytest.raises(Refused):
        repair.finish(order=order, seen_version=order.version, by=bench.technician, at=at)


def _actor(bench):
    return repair.staff(bench.technician)


def test_one_lot_is_counted_and_the_rest_stays(client, lot, wire):
    assert "The whole bin: 65" in read(client, f"/stock/{wire.pk}/")
    client.post(f"/stock/{wire.pk}/count/", {"lot": "L-0001", "counted": "3", "why": "two lost", "key": "c"})
    wire.refresh_from_db()
    assert (lots.pieces_of(lot), wire.on_hand) == (3, 63)
    answer = client.post(f"/stock/{wire.pk}/count/", {"lot": "", "counted": "0", "why": "gone", "key": "d"})
    assert answer.status_code == 422 and "Count lot by lot." in answer.content.decode()
    answer = client.post(f"/stock/{wire.pk}/count/", {"lot": "L-9999", "counted": "1", "key": "e"})
    assert answer.status_code == 422 and "no such lot" in answer.content.decode()


def test_part_cannot_take_the_number_of_a_lot(client, lot):
    fields = {"number": "l-0001", "name": "Screw", "condition": "new", "active": "on"}
    answer = client.post("/stock/new/", fields)
    assert answer.status_code == 422 and "is the number of a lot" in answer.content.decode()


def test_strangers_are_asked_to_sign_in(lot):
    for url in ("/stock/lots/", f"/stock/lots/{lot.pk}/", f"/stock/lots/{lot.pk}/label/"):
        assert "/sign-in/" in Client().get(url).url
    assert "/sign-in/" in Client().post(f"/stock/lots/{lot.pk}/stop/", {"reason": "bad"}).url
