"""A step of one's own joins the list of an agreed remedy."""

import pytest

from intake.refusals import Refused
from intake.stations import Station
from quotes.models import Remedy
from shop.bench import own_steps, repair
from shop.models import RepairStep
from tests import walk


@pytest.fixture
def order(bench, at):
    return walk.to(walk.request(at=at), Station.REPAIR, by=bench.technician, at=at)


@pytest.fixture
def step(bench, order, at):
    repair.lay_out_steps(order)
    return repair.add_step(order=order, text="Relaid the shield", key="own", by=bench.technician, at=at)


@pytest.fixture
def remedy(bench):
    return Remedy.objects.get(name="Fit jumper wire")


def test_step_is_asked_for_on_the_next_order_and_not_twice_on_this_one(bench, order, step, remedy, at):
    before = len(remedy.steps)
    own_steps.take_into_remedy(step=step, remedy=remedy, by=bench.technician, at=at)
    shown = repair.steps_of(order)
    assert [one.text for one in shown].count("Relaid the shield") == 1 and len(shown) == before + 1
    assert shown[-1].done_at == at and shown[-1].remedy == remedy
    repair.lay_out_steps(order)
    assert order.steps.count() == before + 1
    later = walk.to(walk.request(at=at), Station.REPAIR, by=bench.technician, at=at)
    assert [one.text for one in repair.steps_of(later)][-1] == "Relaid the shield"


def test_step_that_is_on_the_list_already_is_refused(bench, order, step, remedy, at):
    step.text = remedy.steps[0].upper()
    step.save()
    with pytest.raises(Refused, match="has that step already"):
        own_steps.take_into_remedy(step=step, remedy=remedy, by=bench.technician, at=at)


def test_only_an_agreed_remedy_takes_it(bench, order, step, at):
    other = Remedy.objects.exclude(name="Fit jumper wire").first()
    assert [row.name for row in own_steps.remedies_of(order)] == ["Fit jumper wire"]
    with pytest.raises(Refused, match="not agreed on this sheet"):
        own_steps.take_into_remedy(step=step, remedy=other, by=bench.technician, at=at)
    assert RepairStep.objects.get(key="own").remedy is None


def test_merged_remedy_gives_the_step_to_the_one_it_went_into(bench, order, step, remedy, at):
    kept = Remedy.objects.create(name="Wire a torn pad", minutes=40, steps=["Shield off"])
    Remedy.objects.filter(pk=remedy.pk).update(merged_into=kept)
    assert own_steps.remedies_of(order) == [kept]
    own_steps.take_into_remedy(step=step, remedy=kept, by=bench.technician, at=at)
    kept.refresh_from_db()
    assert kept.steps == ["Shield off", "Relaid the shield"]
    assert RepairStep.objects.get(pk=step.pk).key == "own"
