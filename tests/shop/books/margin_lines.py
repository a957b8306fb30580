"""Lines made by hand, and generated ones, for the tests of the margin."""

import random
import zoneinfo
from typing import Any

from hypothesis import strategies as st

from shop.books.lines import Books, House, Line, Window

HOUSE = House("USD", 2, zoneinfo.ZoneInfo("Europe/London"), 70 * 10_000)
SINCE, UNTIL, NOW = 1_000_000, 2_000_000, 1_999_999
WINDOW = Window("week", "Last 7 days", SINCE, UNTIL)

# number, labour, parts, rush, post, total, paid, part cost, post cost, card, other cost, minutes, cash margin, full margin
TABLE = """
Q-1001  96.00   4.00  0.00 12.00 112.32 112.32  0.09  9.40  3.56   0.00 18/42/15/12   98.95   38.05
Q-1002  80.00   2.00 35.00 12.00 129.16 129.16  0.03  9.40  4.05   0.00 14/20/15/10  115.52   74.22
Q-1003 240.00 118.00  0.00 18.00 385.44 385.44 70.10 14.20 11.78   0.00 55/130/40/25 279.92  104.92
Q-1004 220.00   9.00  0.00 12.00 241.72 241.72  6.20  9.40  7.31   0.00 62/95/20/20  218.09   80.19
Q-1005   0.00   0.00  0.00 12.00  12.00  12.00  7.40  9.40  0.65   0.00 70/55/0/12    -5.45 -101.35
Q-1006   0.00   0.00  0.00 12.00  12.00  12.00  0.00  9.40  0.65 140.00 48/0/0/14   -138.05 -181.45
Q-1007   0.00   0.00  0.00  0.00   0.00   0.00  0.00  0.00  0.00   0.00 25/0/0/16      0.00  -28.70
Q-1008   0.00   0.00  0.00  0.00   0.00   0.00  0.00  0.00  0.00   0.00 30/0/0/15      0.00  -31.50
Q-1009   0.00   0.00  0.00  0.00   0.00   0.00  0.00  0.00  0.00   0.00 20/0/0/18      0.00  -26.60
Q-1010 110.00   6.00  0.00 12.00 128.48 128.48  1.20  9.40  4.03  15.00 22/35/15/40   98.37   19.97
Q-1011 210.00  15.00  0.00 18.00 243.00   0.00  5.80 14.20  0.00  19.00 85/126/40/18 204.00   15.70
Q-1012   0.00   0.00  0.00  0.00   0.00   0.00  0.10  9.40  0.00   0.00 12/25/20/8    -9.50  -55.00
"""
ROWS = [line.split() for line in TABLE.strip().splitlines()]
# How each ended: outcome, answer, comeback of, cause.
ENDS: dict[str, dict[str, Any]] = {
    "Q-1005": {"outcome": "no fix", "answer": "accepted"},
    "Q-1006": {"outcome": "declined", "answer": "declined"},
    "Q-1007": {"outcome": "recycled", "answer": "declined"},
    "Q-1008": {"outcome": "", "answer": "lapsed", "left": 0},
    "Q-1009": {"outcome": "", "answer": "waiting", "left": 0},
    "Q-1012": {"outcome": "fixed", "comeback_of": 931, "cause": "work"},
}


def units(text: str) -> int:
    """'-55.00' as -5500."""
    return round(float(text) * 100)


def line(order: int = 1, **changes: Any) -> Line:
    """A line that left fixed within the window, with changes."""
    given: dict[str, Any] = {
        "currency": "USD", "family": "phone Zarnik Z7", "arrived": SINCE, "left": SINCE + 10, "outcome": "fixed",
        "answer": "accepted",
    }  # fmt: skip
    return Line(order, **{**given, **changes})


def of_row(row: list[str]) -> Line:
    """One of the twelve invented orders."""
    look, repair, test, talk = (int(part) for part in row[11].split("/"))
    labour, parts, rush, post, _, _, part_cost, post_cost, card, other = (units(text) for text in row[1:11])
    return line(
        int(row[0][2:]), billed=labour + parts + rush + post, parts=part_cost, post=post_cost, fees=card, losses=other,
        look=look, repair=repair, test=test, talk=talk, bench=(look + repair + test + talk) * 70, **ENDS.get(row[0], {}),
    )  # fmt: skip


def twelve() -> list[Line]:
    return [of_row(row) for row in ROWS]


def books(lines: list[Line], *, window: Window = WINDOW, now: int = NOW) -> Books:
    return Books(HOUSE, now, window, tuple(lines))


OUTCOMES = [
    "fixed",
    "part fixed",
    "data only",
    "no fix",
    "declined",
    "recycled",
    "unclaimed",
    "own damage",
    "",
]


def at_random(seed: int) -> list[Line]:
    """Up to twenty-five lines with everything a line may be, from a seed: many more than a strategy could draw in the time."""
    dice = random.Random(seed)
    return [_thrown(dice, order) for order in range(1, dice.randint(0, 25) + 1)]


def _thrown(dice: random.Random, order: int) -> Line:
    money = {
        name: dice.randint(0, 50_000) for name in ("billed", "parts", "spoiled", "post", "fees", "bench")
    }
    minutes = {name: dice.randint(0, 90) for name in ("look", "repair", "test", "talk", "quoted_minutes")}
    return line(
        order,
        customer=dice.randint(0, 3),
        family=dice.choice(["phone Zarnik Z7", "tablet Quibbet Tab Mini"]),
        remedy=dice.choice(["", "Port", "Rail"]),
        technician=dice.randint(0, 2),
        left=dice.choice([0, SINCE - 1, SINCE, UNTIL - 1, UNTIL]),
        outcome=dice.choice(OUTCOMES),
        comeback_of=dice.choice([0, 0, 7]),
        cause=dice.choice(["", "same", "work", "lot", "new", "damage"]),
        answer=dice.choice(["", "accepted", "declined", "lapsed", "waiting"]),
        losses=dice.choice([0, 0, dice.randint(-500, 20_000)]),
        **money,
        **minutes,
    )


MANY = st.integers(0, 2**40).map(at_random)
