"""Station 80 on the sheet: the gate, packing in two steps, recycling."""

import re
from decimal import Decimal

import pytest

from intake.models import Order
from intake.stations import Outcome, Station
from shop.models import Override, Parcel, WipeRecord
from tests import walk

GOOD_NUMBER, WRONG_NUMBER = "LA473124829ZZ", "LA473124828ZZ"


@pytest.fixture
def unpaid(bench, at):
    return walk.to(walk.request(at=at), Station.GOODS_OUT, by=bench.technician, at=at)


@pytest.fixture
def order(unpaid, bench, at):
    return walk.pay(unpaid, by=bench.technician, at=at)


def fields(order, **changes):
    given = {
        "version": order.version,
        "contents": ["Phone", "Sleeve"],
        "weight_grams": "315",
        "carrier": "Surface post",
        "tracking": GOOD_NUMBER,
        "key": "parcel-1",
    }
    return given | changes


def pack(client, order, **changes):
    return client.post(f"/sheet/{order.code}/pack/", fields(order, **changes))


def page(client, order):
    return client.get(f"/sheet/{order.code}/").content.decode()


def test_unpaid_parcel_does_not_go_and_the_sentence_says_why(staff, unpaid):
    assert "It may not go yet." in page(staff, unpaid)
    for sure in ("", "yes"):
        answer = pack(staff, unpaid, sure=sure)
        assert answer.status_code == 422 and "is still owed." in answer.content.decode()
    assert not Parcel.objects.exists()


def test_first_press_shows_the_second_sends_once(staff, order):
    first = pack(staff, order)
    text = first.content.decode()
    assert first.status_code == 200 and "cannot be called back" in text
    assert "The check digit is right (UPU S10)." in text and not Parcel.objects.exists()
    hidden = dict(re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', text.split('id="pack"')[1]))
    assert hidden["tracking"] == GOOD_NUMBER and hidden["key"] == "parcel-1"
    for _ in range(2):
        assert pack(staff, order, sure="yes").status_code == 303
    order.refresh_from_db()
    parcel = Parcel.objects.get()
    assert (order.station, parcel.tracking_scheme, parcel.weight_grams) == (Station.WAY_HOME, "UPU S10", 315)
    assert parcel.cost == Decimal("9.40")
    assert order.letters.filter(kind="on_its_way").count() == 1


def test_sent_parcel_has_its_papers_linked_in_the_notice(staff, order):
    pack(staff, order, sure="yes")
    notice = page(staff, order).split('id="notices"')[1].split("</p>")[0]
    for paper in order.papers.filter(maker__in=("packing_slip", "return_label_a6")):
        assert f'<a href="/paper/{paper.pk}/">{paper.title}</a>' in notice


def test_label_and_slip_are_there_when_it_is_sent_and_not_the_customers(staff, order):
    pack(staff, order, sure="yes")
    papers = {paper.maker: paper for paper in order.papers.filter(for_customer=False)}
    wanted = {"packing_slip", "return_label_100x150", "return_label_4x6", "return_label_a6"}
    assert wanted <= set(papers)
    assert papers["packing_slip"].ref == order.parcel.pk
    for maker in ("packing_slip", "return_label_a6"):
        answer = staff.get(f"/paper/{papers[maker].pk}/")
        assert answer.content.startswith(b"%PDF")
    assert "Return label, A6" in page(staff, order)


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"contents": ["Phone"]}, "Not packed yet: Sleeve."),
        ({"tracking": WRONG_NUMBER}, "The check digit does not fit (UPU S10)"),
        ({"weight_grams": ""}, "Weigh the parcel."),
        ({"weight_grams": "60000"}, "between 1 and 50,000 grams"),
        ({"weight_grams": "three"}, "whole grams"),
        ({"carrier": " "}, "Say who carries it."),
        ({"cost": "-2"}, "An amount cannot be below nought."),
        ({"cost": "1.200"}, "can be read in two ways"),
        ({"contents": ["Phone", "Sleeve", "Gold"]}, "did not come in"),
    ],
)
def test_wrong_packing_is_answered_beside_its_field_and_kept(staff, order, changes, sentence):
    answer = pack(staff, order, **changes)
    text = answer.content.decode()
    assert answer.status_code == 422 and sentence in text
    assert 'value="315"' in text or "weight_grams" in changes
    assert not Parcel.objects.exists()


def test_number_of_an_unknown_scheme_is_only_warned_of(staff, order):
    text = pack(staff, order, tracking="1Z-TEST").content.decode()
    assert "There is no published check" in text and "cannot be called back" in text


def test_weight_far_from_goods_in_is_warned_of(staff, order):
    assert "It weighs" not in pack(staff, order).content.decode()
    text = pack(staff, order, weight_grams="150").content.decode()
    assert "It weighs 160 g less than it came with (310 g)." in text and "cannot be called back" in text


def test_change_it_leads_back_with_what_was_typed(staff, order):
    text = pack(staff, order, again="1", cost="8.20").content.decode()
    assert 'value="315"' in text and 'value="8.20"' in text and "cannot be called back" not in text
    assert text.count("checked") >= 2


def test_an_old_page_sends_nothing(staff, order):
    answer = pack(staff, order, version=order.version - 1, sure="yes")
    assert answer.status_code == 409 and not Parcel.objects.exists()


def test_owner_sees_the_usual_cost_of_post_and_a_technician_does_not(staff, client, bench, order):
    assert 'value="9.40"' not in page(staff, order)
    client.force_login(bench.owner)
    assert re.search(r'name="cost"[^>]*value="9.40"', page(client, order))
    pack(staff, order, sure="yes")
    assert "Post cost" not in page(staff, order) and "Post cost" in page(client, order)


def test_let_go_unpaid_needs_a_reason_and_opens_the_gate(staff, unpaid):
    def let_go(reason):
        return staff.post(f"/sheet/{unpaid.code}/money/let-go/", {"reason": reason})

    assert let_go(" ").status_code == 422 and not Override.objects.exists()
    let_go("Pays at the door, known for years")
    assert Override.objects.get().by.username == "pim"
    assert unpaid.history.filter(what="let go unpaid").count() == 1
    assert pack(staff, unpaid, sure="yes").status_code == 303
    assert "Pays at the door" in page(staff, unpaid)


def test_post_rule_and_its_source_stand_beside_the_packing(staff, order):
    text = page(staff, order)
    assert "Before it goes by post" in text and "Source: " in text


def test_recycling_asks_for_the_wipe_record_and_sends_nothing(staff, bench, at):
    order = walk.to(walk.request(at=at), Station.GO_AHEAD, by=bench.technician, at=at)
    walk.answer(order, at=at, choice="recycle")
    text = page(staff, order)
    assert 'id="wipe"' in text and 'id="pack"' not in text
    given = {"version": order.version, "way": "purge", "with_what": "keys erased by its own command"}
    refused = staff.post(f"/sheet/{order.code}/wiped/", given)
    assert refused.status_code == 422 and "Look first" in refused.content.decode()
    assert not WipeRecord.objects.exists()
    staff.post(f"/sheet/{order.code}/wiped/", given | {"checked": "on"})
    order = Order.objects.get(pk=order.pk)
    assert (order.station, order.outcome) == (Station.HOME, Outcome.RECYCLED)
    assert order.wipe.method == "Purge, keys erased by its own command"
    assert pack(staff, order, sure="yes").status_code in (409, 422) and not Parcel.objects.exists()
