"""Pages that count in opening hours, under hours nobody would choose."""

from datetime import UTC, datetime, timedelta
from types import SimpleNamespace
from typing import Any

import pytest
import time_machine
from django.test import Client

from intake.stations import Station
from shop import clock
from shop.models import BookReport, ShopHours
from tests import walk

AT = datetime(2026, 2, 2, 9, 0, tzinfo=UTC)
PAGES = (
    "/books/",
    "/books/time/",
    "/books/promises/",
    "/books/owed/",
    "/settings/hours/",
    "/books/months/now.pdf",
)
WHOLE, NIGHT, TWIST = ["00:00", "00:00"], ["22:00", "06:00"], ["02:30", "03:15"]


@pytest.mark.parametrize(
    "hours",
    [
        {"week": [None] * 7},
        {"week": [WHOLE] * 7},
        {"week": [NIGHT, None, NIGHT, None, None, None, TWIST]},
        {"week": [], "country": "XQ", "region": "ZZ"},
        {"week": [WHOLE] * 7, "country": "US", "region": "NOWHERE"},
    ],
    ids=["never", "always", "nights", "no such country", "no such region"],
)
def test_pages_stand_under_any_hours(bench: SimpleNamespace, hours: dict[str, Any]) -> None:
    ShopHours.objects.create(version=1, since=AT, changed_by=bench.owner, **hours)
    walk.to(walk.request(at=AT), Station.HOME, by=bench.owner, at=AT + timedelta(hours=5))
    walk.to(walk.request(at=AT), Station.GOODS_OUT, by=bench.owner, at=AT)
    desk = Client()
    desk.force_login(bench.owner)
    with time_machine.travel(AT + timedelta(days=36), tick=False):
        for page in PAGES:
            assert desk.get(page).status_code == 200, page
        # A shop that never opens gets its report all the same.
        assert clock.tick(at=AT + timedelta(days=36))["reports"] == 1
    assert BookReport.objects.get().month == "2026-02"
