"""The settings of the opening hours: versions, sentences, and nothing typed is lost."""

import datetime as dt
from types import SimpleNamespace
from typing import Any

import pytest
from django.test import Client

from intake.models import HistoryEntry
from intake.refusals import Refused
from shop.books.hours import GUESS, current_hours, next_closed, region_of
from shop.books.hours_change import change_hours
from shop.models import ShopHours

ADDRESS = "/settings/hours/"
MONDAY_TO_FRIDAY = ("monday", "tuesday", "wednesday", "thursday", "friday")


@pytest.fixture
def desk(bench: SimpleNamespace) -> Client:
    client = Client()
    client.force_login(bench.owner)
    return client


def typed(**changes: Any) -> dict[str, Any]:
    return {
        "seen": 0, **dict.fromkeys(MONDAY_TO_FRIDAY, "10 to 18"), "saturday": "", "sunday": "", "country": "DE", "region": "be",
        "closed": "2026-08-03 to 2026-08-05", **changes,
    }  # fmt: skip


def test_hours_are_the_owners_alone(bench: SimpleNamespace) -> None:
    technician = Client()
    technician.force_login(bench.technician)
    assert technician.get(ADDRESS).status_code == 403
    assert Client().get(ADDRESS).status_code == 302


def test_before_anything_was_saved_the_page_says_guessed(desk: Client) -> None:
    page = desk.get(ADDRESS).content.decode()
    assert "Guessed so far" in page
    assert 'value="09:00 to 17:00"' in page
    assert 'href="/settings/hours/"' in desk.get("/settings/").content.decode()


def test_saving_is_a_new_version_and_shows_the_closed_days(desk: Client) -> None:
    assert desk.post(ADDRESS, typed()).status_code == 303
    row = ShopHours.objects.get()
    assert (row.version, row.country, row.region) == (1, "DE", "BE")
    assert row.week == [["10:00", "18:00"]] * 5 + [None, None]
    assert row.closed == ["2026-08-03", "2026-08-04", "2026-08-05"]
    assert HistoryEntry.objects.filter(what="hours changed").count() == 1
    page = desk.get(ADDRESS).content.decode()
    assert "Guessed so far" not in page
    assert "Why" in page and "BE Berlin" in page
    assert desk.post(ADDRESS, typed(seen=1)).status_code == 303
    assert ShopHours.objects.count() == 1
    assert desk.post(ADDRESS, typed(seen=1, saturday="10 to 14")).status_code == 303
    assert current_hours().version == 2


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"monday": "early"}, "Type two times such as"),
        ({"region": "Atlantis"}, "That region of Germany is not known. Known are: BB"),
        ({"country": "", "region": "BE"}, "Choose the country of that region."),
        ({"closed": "soon"}, "This line is no day"),
        (dict.fromkeys(MONDAY_TO_FRIDAY, ""), "Open on one day of the week at least."),
        ({"seen": 7}, "was saved while you were writing"),
    ],
)
def test_what_cannot_be_saved_says_why_and_keeps_what_was_typed(
    desk: Client, changes: dict[str, Any], sentence: str
) -> None:
    answer = desk.post(ADDRESS, typed(**{"tuesday": "11 to 12", **changes}))
    page = answer.content.decode()
    assert answer.status_code == 422
    assert sentence in page
    assert "tuesday" in changes or 'value="11 to 12"' in page
    assert not ShopHours.objects.exists()


def test_an_unknown_country_is_refused_with_a_sentence(bench: SimpleNamespace, at: dt.datetime) -> None:
    days = list(GUESS.week.days)
    with pytest.raises(Refused, match="No public holidays are known"):
        change_hours(
            changes={"days": days, "country": "ZZ", "region": "", "closed": ()},
            seen_version=0,
            by=bench.owner,
            at=at,
        )


def test_closed_days_leave_weekends_out(desk: Client) -> None:
    desk.post(ADDRESS, typed())
    found = next_closed(current_hours(), after=dt.date(2026, 8, 3), count=4)
    assert found == [
        (dt.date(2026, 8, 3), "Own closed day"),
        (dt.date(2026, 8, 4), "Own closed day"),
        (dt.date(2026, 8, 5), "Own closed day"),
        (dt.date(2026, 12, 25), "Christmas Day"),
    ]


def test_region_by_code_or_name() -> None:
    assert region_of("DE", "berlin") == region_of("DE", "be") == "BE"
    assert region_of("SE", "Skane") is None
    assert region_of("", "BE") is None
