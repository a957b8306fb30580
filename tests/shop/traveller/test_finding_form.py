"""The finding on the sheet: each symptom is asked for, what is typed is kept, what is not explained is warned of."""

import re

import pytest

from intake.models import Order
from intake.stations import Station
from quotes.models import Finding
from shop.models import StationDraft
from tests.bench_orders import at_diagnosis, make_rates

SILENT, WARM = "Nobody hears me", "Gets hot"
TYPED = {
    "fault_class": "torn pad", "part": "L7", "words": "Its line is broken.", "idea_answer": "not", "mendable": "yes",
    "symptom_0": "yes", "symptom_1": "no", "key": "f1",
}  # fmt: skip
WARNING = "Gets hot: this symptom is not explained by the finding."


@pytest.fixture
def order(letterhead, technician, at):
    make_rates(at)
    return at_diagnosis(by=technician, at=at, symptoms=[SILENT, WARM])


@pytest.fixture
def bench(client, technician):
    client.force_login(technician)
    return client


def sign(bench, order, **changes):
    given = {**TYPED, "version": order.version, **changes}
    return bench.post(
        f"/sheet/{order.code}/finding/", {name: value for name, value in given.items() if value is not None}
    )


def page(bench, order):
    return bench.get(f"/sheet/{order.code}/").content.decode()


def is_checked(text, field):
    (tag,) = re.findall(rf'<input[^>]*id="{field}"[^>]*>', text)
    return "checked" in tag


def test_each_symptom_is_asked_for(bench, order):
    text = page(bench, order)
    assert f"<legend>{SILENT}</legend>" in text and f"<legend>{WARM}</legend>" in text
    assert not any(is_checked(text, f"finding_symptom_{row}_{way}") for row in (0, 1) for way in (0, 1))


def test_symptom_that_is_left_open_refuses_and_keeps_what_was_typed(bench, order):
    answer = sign(bench, order, symptom_1=None)
    text = answer.content.decode()
    assert answer.status_code == 422 and "Say whether the finding explains it." in text
    assert 'value="L7"' in text and not Finding.objects.exists()
    assert is_checked(text, "finding_symptom_0_0") and not is_checked(text, "finding_symptom_1_0")


def test_signed_finding_keeps_what_was_said_and_warns_at_the_quote(bench, order):
    assert sign(bench, order).status_code == 303
    row = Finding.objects.get()
    assert (row.part, row.explains, row.not_explained) == ("L7", [SILENT], [WARM])
    text = page(bench, order)
    assert WARNING in text and "Explains: Nobody hears me." in text and "Torn pad, L7" in text


def test_symptoms_that_are_explained_warn_of_nothing(bench, order):
    sign(bench, order, symptom_1="yes")
    assert "not explained by the finding" not in page(bench, order)


def test_answers_to_symptoms_are_kept_as_they_are_given(bench, order):
    keep = f"/sheet/{order.code}/finding/keep/"
    bench.post(keep, {"part": "L7", "symptom_1": "no", "suggested": "x", "key": "k", "symptom_x": "yes"})
    assert StationDraft.objects.get().fields == {"part": "L7", "symptom_1": "no"}
    text = page(bench, order)
    assert is_checked(text, "finding_symptom_1_1") and 'value="L7"' in text


def test_a_second_look_starts_with_what_the_first_one_said(bench, order):
    sign(bench, order)
    order.refresh_from_db()
    bench.post(f"/sheet/{order.code}/look-again/", {"version": order.version})
    assert Order.objects.get(pk=order.pk).station == Station.DIAGNOSIS
    text = page(bench, order)
    assert is_checked(text, "finding_symptom_1_1") and is_checked(text, "finding_symptom_0_0")
    assert 'value="L7"' in text


def test_second_fault_asks_only_of_what_is_left(bench, order):
    sign(bench, order)
    Order.objects.filter(pk=order.pk).update(station=Station.REPAIR)
    text = page(bench, order)
    assert f"<legend>{WARM}</legend>" in text and f"<legend>{SILENT}</legend>" not in text
    order.refresh_from_db()
    given = {"fault_class": "x", "words": "Another one.", "key": "s1", "version": order.version}
    answer = bench.post(f"/sheet/{order.code}/repair/second/", given)
    assert answer.status_code == 422 and "Say whether the finding explains it." in answer.content.decode()
