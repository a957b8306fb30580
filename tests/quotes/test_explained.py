"""Each of the customer's symptoms is explained by a finding or is not, and what is not stays in sight."""

import pytest

from intake.models import Order
from intake.stations import Station
from quotes import diagnosis
from quotes.diagnosis import Found
from quotes.explained import not_explained
from quotes.models import Finding
from quotes.refusals import Refused
from tests.bench_orders import FOUND, at_diagnosis

pytestmark = pytest.mark.usefixtures("rates")
SILENT, WARM = "Nobody hears me", "Gets hot"


@pytest.fixture
def order(technician, at):
    return at_diagnosis(by=technician, at=at, symptoms=[SILENT, WARM])


def found(**more):
    return Found(**{**FOUND, **more})


def sign(order, technician, at, key="f1", **more):
    return diagnosis.record_finding(
        order=order, seen_version=order.version, found=found(**more), key=key, by=technician, at=at
    )


def test_finding_keeps_part_symptoms_and_what_was_suggested(order, technician, at):
    sign(
        order, technician, at, part="C2301", explains=(SILENT,), not_explained=(WARM,), suggested="torn pad"
    )  # fmt: skip
    row = Finding.objects.get()
    assert (row.part, row.explains, row.not_explained) == ("C2301", [SILENT], [WARM])
    assert row.suggested == "torn pad" and not_explained(order) == [WARM]


@pytest.mark.parametrize(
    "said",
    [
        {"explains": (SILENT,)},
        {"explains": (SILENT, WARM), "not_explained": (WARM,)},
        {"explains": (SILENT, WARM, "Another")},
    ],
)
def test_finding_that_leaves_a_symptom_open_is_refused(order, technician, at, said):
    with pytest.raises(Refused, match="Say of each symptom"):
        sign(order, technician, at, **said)
    assert not Finding.objects.exists()


def test_a_second_fault_explains_what_the_first_did_not(order, technician, at):
    sign(order, technician, at, explains=(SILENT,), not_explained=(WARM,))
    Order.objects.filter(pk=order.pk).update(station=Station.REPAIR)
    order.refresh_from_db()
    given = {"order": order, "by": technician, "at": at}
    with pytest.raises(Refused, match="Say of each symptom"):
        diagnosis.second_finding(found=found(explains=(SILENT,)), key="s1", **given)
    diagnosis.second_finding(found=found(explains=(WARM,)), key="s2", **given)
    assert not_explained(order) == []


def test_a_later_look_counts(order, technician, at):
    sign(order, technician, at, explains=(SILENT, WARM))
    order.refresh_from_db()
    diagnosis.look_again(order=order, seen_version=order.version, by=technician, at=at)
    order.refresh_from_db()
    sign(order, technician, at, key="f2", explains=(WARM,), not_explained=(SILENT,))
    assert not_explained(order) == [SILENT]
