"""What the next work still takes: the agreed minutes, the shop's own median, or what is common."""

import pytest

from intake.stations import Station
from shop.daysheet.minutes_left import USUAL, minutes_left, usual_minutes

D, T = Station.DIAGNOSIS, Station.TEST


def test_usual_minutes_are_the_median_from_five_on() -> None:
    looks = [(30, minutes) for minutes in (10, 20, 25, 90)]
    assert usual_minutes(looks) == USUAL
    assert usual_minutes([*looks, (30, 24), (70, 3)]) == {D: 24, T: USUAL[T]}
    assert usual_minutes([(60, 5)] * 9) == USUAL


@pytest.mark.parametrize(
    ("station", "planned", "spent", "left"),
    [
        (Station.REPAIR, 60, 20, (40, False)),
        (Station.REPAIR, 60, 75, (-15, False)),
        (Station.REPAIR, 0, 20, (None, False)),
        (Station.REPAIR, None, 0, (None, False)),
        (D, 60, 10, (20, True)),
        (D, None, 45, (0, True)),
        (T, 60, 0, (20, True)),
        (Station.QUOTE, 60, 0, (None, False)),
        (Station.GOODS_OUT, 60, 0, (None, False)),
    ],
)
def test_minutes_left_at_a_station(
    station: Station, planned: int | None, spent: int, left: tuple[int | None, bool]
) -> None:
    assert minutes_left(station, planned=planned, spent=spent, usual={D: 30, T: 20}) == left
