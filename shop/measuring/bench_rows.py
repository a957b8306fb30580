"""What is measured of the bench: a typed line said back, a reading judged, an order compared with those seen before."""

import datetime as dt
import random
import statistics
from collections.abc import Callable
from decimal import Decimal
from typing import Any

from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from intake.models import Person
from quotes import known_good
from quotes.models import GoodReading
from quotes.reading_text import parse_reading
from shop.measuring.ratios import Row
from shop.measuring.world import World
from shop.seen.gower_maths import Case, likeness

# Own goals, no source: judging reads which boards are good and which words mean the same, besides the numbers;
# the echo is a page with a sign-in; likeness explains nothing, so it may cost four times the bare sums.
JUDGE_GOAL, ECHO_GOAL, LIKENESS_GOAL = 4.0, 2.0, 4.0
GOOD, CASES = 5_000, 500
LINE = "microphone bias d .452"
POINT = {"board": "Z7 main", "point": "microphone bias", "mode": "diode", "polarity": "red on ground"}


def bench_rows(world: World, staff: Client, *, at: dt.datetime) -> list[Row]:
    """The rows of the bench."""
    good_boards(world.owner, at=at)
    return [_judged(), _echo(world, staff), _likeness()]


def good_boards(by: Person, *, at: dt.datetime, count: int = GOOD) -> None:
    """Readings of good boards at one point in a hundred, made in bulk; the measured point has its share."""
    dice = random.Random(20260202)  # noqa: S311 -- invented readings, no secret
    GoodReading.objects.bulk_create(
        GoodReading(
            **{**POINT, "point": POINT["point"] if number % 100 == 0 else f"point {number % 100}"},
            key=f"measured:{number}", specimen=f"shelf {number}", unit="V", typed=LINE, at=at, by=by,
            value=Decimal(dice.randint(440, 460)) / 1000,
        )
        for number in range(count)
    )  # fmt: skip


def _queries(deed: Callable[[], Any]) -> int:
    with CaptureQueriesContext(connection) as seen:
        deed()
    return len(seen)


def _judged() -> Row:
    read = parse_reading(LINE)

    def ours() -> known_good.Judged:
        return known_good.judge(
            **POINT, revision="", state="", meter="", value=read.value, special=read.special or ""
        )

    def floor() -> tuple[Decimal, Decimal]:
        values = list(GoodReading.objects.filter(**POINT).values_list("value", flat=True))
        middle = statistics.median(values)
        return middle, statistics.median(abs(value - middle) for value in values)

    if ours().n != GOOD // 100:
        raise ValueError("The good boards were not found.")
    return Row(
        f"judge 1 of {GOOD}",
        "a select and two medians",
        JUDGE_GOAL,
        floor=floor,
        ours=ours,
        queries=_queries(ours),
    )


def _echo(world: World, staff: Client) -> Row:
    order = world.order
    address = reverse("shop:understood", args=[order.code])
    given = {"line": LINE, "board": POINT["board"]}

    def ours() -> object:
        return staff.get(address, given)

    answer = staff.get(address, given)
    if answer.status_code != 200:
        return Row("reading echo", "page with one select", ECHO_GOAL, why=f"answered {answer.status_code}")
    return Row(
        "reading echo",
        "page with one select",
        ECHO_GOAL,
        floor=lambda: staff.get(f"/floor/{order.pk}/"),
        ours=ours,
        queries=_queries(ours),
    )


def _likeness() -> Row:
    dice = random.Random(20260203)  # noqa: S311 -- invented cases, no secret
    cases = [_case(number, dice) for number in range(CASES + 1)]
    asked, others = cases[0], cases[1:]
    return Row(
        f"{CASES} likenesses",
        "the same sums, bare",
        LIKENESS_GOAL,
        floor=lambda: [_bare(asked, other) for other in others],
        ours=lambda: [likeness(asked, other) for other in others],
    )


def _case(number: int, dice: random.Random) -> Case:
    words = [f"symptom {each}" for each in range(8)]
    return Case(
        number=number,
        kind="phone",
        family=f"family {dice.randrange(6)}",
        symptoms=frozenset(dice.sample(words, 2)),
        before=frozenset(dice.sample(["dropped", "wet", "opened"], 1)),
        verdicts={(f"point {dice.randrange(5)}", "diode"): dice.choice(["ok", "short", "open"])},
        fault=f"fault {dice.randrange(4)}",
    )


def _bare(one: Case, other: Case) -> float:
    """The sums alone, in floats, without the rules for what is missing."""
    shared = one.verdicts.keys() & other.verdicts.keys()
    terms = [
        float(one.kind == other.kind),
        float(one.family == other.family),
        len(one.symptoms & other.symptoms) / len(one.symptoms | other.symptoms),
        len(one.before & other.before) / len(one.before | other.before),
        *(float(one.verdicts[point] == other.verdicts[point]) for point in shared),
    ]
    return sum(terms) / len(terms)
