"""The test lists in settings: rows moved, measured and looked at before they are saved; versions with what changed."""

import pytest
from django.test import Client

from intake.models import Person
from shop.bench import test_lists
from shop.models import TestSheet

ADDRESS = "/settings/tests/board/"


@pytest.fixture
def desk(bench):
    client = Client()
    client.force_login(bench.owner)
    return client


def sent(rows, **more):
    given = {"seen": test_lists.newest("board").version, "soak_minutes": 30, **more}
    for number, row in enumerate(rows):
        given |= {f"{name}_{number}": value for name, value in row.items()}
    return given


ROWS = [{"text": "Draw", "must": "on"}, {"text": "Rails", "must": "on"}]


def test_rows_are_moved_taken_away_and_added_without_saving(desk):
    down = desk.post(ADDRESS, sent(ROWS, move="down-0")).content.decode()
    assert down.index('value="Rails"') < down.index('value="Draw"')
    away = desk.post(ADDRESS, sent(ROWS, move="away-0")).content.decode()
    assert 'value="Draw"' not in away and 'value="Rails"' in away
    more = desk.post(ADDRESS, sent(ROWS, move="more")).content.decode()
    assert 'name="text_2"' in more and 'name="text_2"' not in down
    assert not TestSheet.objects.exists()


@pytest.mark.parametrize("press", ["up-0", "down-1", "down-99", "away-x", "up", "sideways-1"])
def test_a_press_that_leads_nowhere_changes_nothing(desk, press):
    page = desk.post(ADDRESS, sent(ROWS, move=press)).content.decode()
    assert page.index('value="Draw"') < page.index('value="Rails"')


def test_list_is_looked_at_as_the_bench_sees_it_before_it_is_saved(desk):
    rows = [*ROWS, {"text": "Idle", "mode": "amps", "high": "20m", "unlocked": "on", "soak": "5"}]
    page = desk.post(ADDRESS, sent(rows, look="1")).content.decode()
    assert "Nothing is saved yet" in page and "at most 0.02" in page and "needs the code" in page
    assert not TestSheet.objects.exists()


def test_measured_row_is_kept_in_the_base_unit_and_comes_back_unchanged(desk):
    rows = [
        *ROWS,
        {"text": "Idle", "mode": "diode-black", "low": ".43", "high": "470m", "unlocked": "on", "soak": "5"},
    ]
    assert desk.post(ADDRESS, sent(rows)).status_code == 303
    sheet = TestSheet.objects.get()
    assert sheet.rows[2] == {
        "text": "Idle", "must": False, "unlocked": True, "mode": "diode", "polarity": "black on ground",
        "low": "0.43", "high": "0.47", "soak": 5,
    }  # fmt: skip
    assert "Nothing was different" in desk.post(ADDRESS, sent(rows), follow=True).content.decode()


@pytest.mark.parametrize("row, said", [
    ({"text": "X", "low": "4"}, "Say how it is measured"),
    ({"text": "X", "mode": "volts", "low": "much"}, "much is not a limit in volts"),
    ({"text": "X", "mode": "volts", "low": "OL"}, "OL is not a limit"),
    ({"text": "X", "mode": "volts", "low": "5", "high": "4"}, "The low limit is above the high one"),
    ({"text": "X", "soak": "long"}, "whole number of minutes"),
])  # fmt: skip
def test_limit_that_is_none_is_said_beside_it_and_what_was_typed_stays(desk, row, said):
    answer = desk.post(ADDRESS, sent([*ROWS, row]))
    text = answer.content.decode()
    assert answer.status_code == 422 and said in text and 'value="X"' in text


def test_second_pair_of_eyes_needs_a_second_person(desk, bench):
    Person.objects.exclude(pk=bench.owner.pk).update(is_active=False)
    alone = desk.post(ADDRESS, sent(ROWS, second_eyes="on"))
    assert alone.status_code == 422 and "Only one person signs in here" in alone.content.decode()
    assert "Only one person signs in here" in desk.get(ADDRESS).content.decode()
    Person.objects.update(is_active=True)
    assert desk.post(ADDRESS, sent(ROWS, second_eyes="on")).status_code == 303
    assert TestSheet.objects.get().second_eyes


def test_versions_say_since_when_what_changed_and_how_many_tests_keep_them(desk):
    desk.post(ADDRESS, sent(ROWS))
    desk.post(ADDRESS, sent([*ROWS, {"text": "Function", "must": "on"}]))
    page = desk.get(ADDRESS).content.decode()
    assert "New: Function." in page and "Taken away: No draw when off, current noted." in page
    assert [one.sheet.version for one in test_lists.versions("board")] == [2, 1]


def test_saved_data_has_a_list_of_its_own(desk):
    assert "Saved data" in desk.get("/settings/tests/").content.decode()
    assert "The copy is encrypted" in desk.get("/settings/tests/data/").content.decode()
