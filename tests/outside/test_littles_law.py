"""Source: Little (1961), L = lambda W. The textbook case of wine in a cellar: 160 bottles, 8 drunk a month, so each lies
there 20 months (1.67 years)."""

import random
import zoneinfo

import pytest

from shop.books.lines import Books, House, Line, Window
from shop.books.time.shapes import NOTHING
from shop.books.time.stay_maths import in_the_building
from shop.books.time.sums import figures

HOUSE = House("USD", 2, zoneinfo.ZoneInfo("UTC"), 7000 * 100)
DAY = 86_400
START = 1_700_000_000


def shop(seed: int, *, days: int = 200) -> tuple[list[Line], int]:
    """Orders that come at random and stay at random; some are here before the window opens, some when it closes."""
    rng, lines, now = random.Random(seed), [], START + days * DAY
    moment = START - 60 * DAY
    while (moment := moment + int(rng.expovariate(1.7) * DAY)) < now:
        left = moment + int(rng.lognormvariate(1.5, 0.8) * DAY)
        lines.append(Line(len(lines) + 1, arrived=moment, left=left if left < now else 0))
    return lines, now


@pytest.mark.parametrize("seed", range(6))
def test_orders_here_on_average_are_arrivals_a_day_by_days_each(seed: int) -> None:
    """An identity over any closed window: orders here, counted at each moment, are the seconds of all orders in it."""
    lines, now = shop(seed)
    window = Window("quarter", "", START, now)
    edges = sorted(
        {START, now, *(t for line in lines for t in (line.arrived, line.left or now) if t > START)}
    )
    area = sum(
        (later - edge) * sum(line.arrived <= edge < (line.left or now) for line in lines)
        for edge, later in zip(edges, edges[1:], strict=False)
    )
    books = Books(HOUSE, now, window, tuple(lines))
    found = in_the_building(books)
    assert found.seconds == area
    assert found.average == pytest.approx(area / (now - START))
    assert found.days_each is not None
    assert found.average == pytest.approx(found.came / (now - START) * DAY * found.days_each)


def test_a_steady_shop_by_its_figures() -> None:
    """One order each day that stays twenty days: 20 here; the law holds between the figures shown."""
    now = START + 400 * DAY
    lines = [
        Line(
            day + 1,
            station=80,
            arrived=START + day * DAY,
            left=left if (left := START + (day + 20) * DAY) < now else 0,
        )
        for day in range(400)
    ]
    books = Books(HOUSE, now, Window("year", "", START + 100 * DAY, now), tuple(lines))
    shown = {figure.key: figure.value for figure in figures(books, NOTHING)}
    assert shown["time-here-average"] == pytest.approx(20.0)
    assert shown["time-median"] == shown["time-days-each"] == 20.0
    arrivals = shown["time-arrivals"]
    assert isinstance(arrivals, int)
    assert shown["time-here-average"] == pytest.approx(arrivals / 300 * 20.0)


def test_bottles_in_a_cellar() -> None:
    """8 a month, 160 lying there: 20 months each. A month is taken as 30 days, a bottle leaves as the 160th next comes."""
    month = 30 * DAY
    lines = [
        Line(number + 1, arrived=START + number * month // 8, left=START + (number + 160) * month // 8)
        for number in range(1000)
    ]
    since, until = START + 200 * month // 8, START + 840 * month // 8
    found = in_the_building(Books(HOUSE, until, Window("all", "", since, until), tuple(lines)))
    assert found.average == pytest.approx(160)
    assert found.average / 8 == pytest.approx(20)
    assert found.days_each is not None
    assert found.days_each / 30 == pytest.approx(20)
