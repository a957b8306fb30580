"""Our own damage: said plainly, nothing billed, what is held goes back, made good by the owner, home or recycled."""

from decimal import Decimal

import pytest

from intake.models import Order
from intake.refusals import Refused
from intake.stations import Outcome, Station
from quotes import payments, stock
from quotes.models import Part
from quotes.proof import prove
from shop.branches import own_damage, recycling
from shop.branches.own_damage import Harm
from shop.models import OwnDamage
from tests import walk

HARM = Harm(words="Hot air melted the socket beside it.", offered="We pay its value.", worth=Decimal("180"))


def at_station(station, bench, at):
    return walk.to(walk.request(at=at), station, by=bench.technician, at=at)


def damage(order, bench, at, harm=HARM, key="d1"):
    own_damage.own_damage(
        order=order, seen_version=order.version, harm=harm, key=key, by=bench.technician, at=at
    )
    return Order.objects.get(pk=order.pk)


@pytest.mark.parametrize("station", [Station.DIAGNOSIS, Station.REPAIR, Station.TEST])
def test_own_damage_bills_nothing_and_frees_the_parts(station, bench, at, kinds):
    order = damage(at_station(station, bench, at), bench, at)
    assert (order.station, order.outcome) == (Station.GOODS_OUT, Outcome.OWN_DAMAGE)
    assert not order.invoices.exists() and payments.balance(order) == 0
    assert stock.set_aside(order) == {}
    assert kinds(order)[-1] == "own_damage"
    assert "180.00" in order.letters.get(kind="own_damage").text
    assert not order.test_runs.filter(signed_at__isnull=True).exists()
    assert order.history.filter(what="own damage").count() == 1
    assert prove() == []


def test_own_damage_is_made_good_and_goes_home(bench, at, kinds):
    order = damage(at_station(Station.REPAIR, bench, at), bench, at)
    payments.make_good(
        order=order,
        kind="transfer",
        amount=Decimal("180"),
        key="g",
        why="The melted socket",
        by=bench.owner,
        at=at,
    )
    order = walk.deliver(walk.send(order, by=bench.technician, at=at), by=bench.technician, at=at)
    assert (order.station, order.outcome) == (Station.HOME, Outcome.OWN_DAMAGE)
    assert not hasattr(order, "warranty")
    assert kinds(order)[-4:] == ["own_damage", "made_good", "on_its_way", "home"]
    assert "Looked at: Closed as it came" in order.lines.get(station=Station.GOODS_OUT).note
    assert prove() == []


def test_deposit_of_a_damaged_device_goes_back(bench, at, kinds):
    Part.objects.filter(number="WIRE-002").update(special=True)
    order = at_station(Station.QUOTE, bench, at)
    walk.quote(order, by=bench.technician, at=at, deposit=Decimal("20"), deposit_words="For the wire.")
    walk.answer(order, at=at)
    pay = {"order": order, "kind": "card", "amount": Decimal("20"), "purpose": "deposit", "at": at}
    payments.record_payment(**pay, key="dep", by=bench.technician)
    order = damage(Order.objects.get(pk=order.pk), bench, at)
    assert "Your deposit of $20.00" in order.letters.get(kind="own_damage").text
    payments.refund(**pay, key="back", note="Our own damage", by=bench.owner)
    assert payments.deposit_held(order) == 0
    assert kinds(order)[-2:] == ["own_damage", "refunded"]
    assert prove() == []


def test_own_damage_is_recycled_with_the_customers_word(bench, at, kinds):
    order = damage(at_station(Station.TEST, bench, at), bench, at)
    given = {
        "order": order,
        "seen_version": order.version,
        "method": "Destroy, drill",
        "by": bench.owner,
        "at": at,
    }
    with pytest.raises(Refused, match="what they said"):
        recycling.recycle_instead(**given, consent=" ")
    recycling.recycle_instead(**given, consent="By letter of today: keep it.")
    order.refresh_from_db()
    assert (order.station, order.outcome) == (Station.HOME, Outcome.OWN_DAMAGE)
    assert order.wipe.method == "Destroy, drill" and kinds(order)[-1] == "recycled"


def test_own_damage_needs_plain_words_and_an_offer(bench, at):
    order = at_station(Station.REPAIR, bench, at)
    for harm, field in (
        (Harm(" ", "x"), "words"),
        (Harm("x", ""), "offered"),
        (Harm("x", "y", Decimal(-1)), "worth"),
    ):
        with pytest.raises(Refused) as refused:
            damage(order, bench, at, harm)
        assert refused.value.field == field
    assert not OwnDamage.objects.exists()


def test_same_form_twice_damages_once(bench, at):
    order = damage(at_station(Station.REPAIR, bench, at), bench, at)
    damage(order, bench, at)
    assert order.letters.filter(kind="own_damage").count() == 1


@pytest.mark.parametrize("station", [Station.DIAGNOSIS, Station.REPAIR, Station.TEST])
def test_own_damage_is_signed_on_the_sheet(station, bench, at, staff, post):
    order = at_station(station, bench, at)
    assert "We damaged it" in staff.get(f"/sheet/{order.code}/").content.decode()
    wrong = post(order, "own-damage", words="Melted.", offered="", worth="12", key="k")
    assert wrong.status_code == 422 and "Say what we offer." in wrong.content.decode()
    assert ">\nMelted.</textarea>" in wrong.content.decode()
    assert (
        post(order, "own-damage", words="Melted.", offered="Its value.", worth="", key="k").status_code == 303
    )
    text = staff.get(f"/sheet/{order.code}/").content.decode()
    assert "Own damage." in text and "The customer does not want it back" in text


def test_unrepaired_return_asks_for_its_checks(bench, at, staff, post):
    order = damage(at_station(Station.REPAIR, bench, at), bench, at)
    fields = {"contents": ["Phone", "Sleeve"], "weight_grams": "310", "carrier": "Surface post", "key": "p"}
    first = post(order, "pack", **fields)
    assert first.status_code == 422 and "Look first, then tick: Closed as it came" in first.content.decode()
    fields["checked"] = ["closed", "parts", "battery", "record"]
    assert post(order, "pack", **fields).status_code == 200
    assert post(order, "pack", **fields, sure="yes").status_code == 303
