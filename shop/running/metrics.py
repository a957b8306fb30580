"""Figures for a machine that watches, in the Prometheus text format. Counts of rows; nobody's name, order or address."""

import datetime as dt
from collections.abc import Callable, Iterator

from django.db.models import Count
from django.utils.crypto import constant_time_compare
from prometheus_client import CollectorRegistry, generate_latest
from prometheus_client.core import CounterMetricFamily, GaugeMetricFamily, Metric
from prometheus_client.registry import Collector

from intake.models import Letter, Order
from intake.stations import Station
from shop.backup import state as backups
from shop.models import ClockMark, RestoreDrill, SignInTry
from shop.running import counting
from shop.running.reading import at_a_glance


def may_read(given: str, key: str) -> bool:
    """Whether a header "Bearer <key>" opens the figures. Compared in a time that says nothing."""
    return bool(key) and constant_time_compare(given, f"Bearer {key}")


def text(at: dt.datetime) -> bytes:
    """All figures as text. About a dozen queries."""
    registry = CollectorRegistry()
    registry.register(Rows(at))
    return generate_latest(registry) + generate_latest(counting.REGISTRY)


class Rows(Collector):
    """Read from the rows at each question, so that all processes of a shop say the same."""

    def __init__(self, at: dt.datetime) -> None:
        self._at = at

    def describe(self) -> list[Metric]:
        return []

    def collect(self) -> Iterator[Metric]:
        families: tuple[Callable[[dt.datetime], list[Metric]], ...] = (
            _letters,
            _clock,
            _backups,
            _orders,
            _doors,
        )
        for family in families:
            yield from family(self._at)


def _letters(at: dt.datetime) -> list[Metric]:
    by_state = GaugeMetricFamily("benchpost_letters", "Letters by state.", labels=["state"])
    found = dict(Letter.objects.order_by().values_list("state").annotate(Count("pk")))
    for state in Letter.State.values:
        by_state.add_metric([state], found.get(state, 0))
    facts = at_a_glance(at)
    oldest = (at - facts.waiting_since).total_seconds() if facts.waiting_since else 0
    free = GaugeMetricFamily(
        "benchpost_free_bytes", "Free room of the disks, by what lies there.", labels=["place"]
    )
    for room in facts.rooms:
        free.add_metric([room.words], room.free)
    return [
        by_state,
        GaugeMetricFamily("benchpost_oldest_letter_seconds", "Age of the oldest waiting letter.", oldest),
        GaugeMetricFamily("benchpost_stuck_letters", "Letters that need a person.", facts.stuck),
        free,
    ]


def _clock(at: dt.datetime) -> list[Metric]:
    done = GaugeMetricFamily(
        "benchpost_clock_done_timestamp_seconds", "When work last ended well.", labels=["work"]
    )
    rounds = CounterMetricFamily("benchpost_clock_rounds", "Rounds of the clock's work.", labels=["work"])
    faults = CounterMetricFamily("benchpost_clock_faults", "Rounds that failed.", labels=["work"])
    for mark in ClockMark.objects.order_by("name"):
        done.add_metric([mark.name], mark.done_at.timestamp() if mark.done_at else 0)
        rounds.add_metric([mark.name], mark.rounds)
        faults.add_metric([mark.name], mark.faults)
    return [done, rounds, faults]


def _backups(at: dt.datetime) -> list[Metric]:
    kept = backups.state(at)
    drills = GaugeMetricFamily(
        "benchpost_restore_drills", "Proofs of restore by how they ended.", labels=["state"]
    )
    found = dict(RestoreDrill.objects.order_by().values_list("state").annotate(Count("pk")))
    for state in RestoreDrill.State.values:
        drills.add_metric([state], found.get(state, 0))
    ages = [
        ("benchpost_backup_age_seconds", "Age of the last whole backup; -1 without one.", kept.backup_age),
        ("benchpost_proof_age_seconds", "Age of the last proof of restore; -1 without one.", kept.proof_age),
    ]
    return [
        drills,
        *(GaugeMetricFamily(name, words, age.total_seconds() if age else -1) for name, words, age in ages),
    ]


def _orders(at: dt.datetime) -> list[Metric]:
    here = GaugeMetricFamily(
        "benchpost_open_orders", "Orders that are not home, by station.", labels=["station"]
    )
    rows = Order.objects.exclude(station=int(Station.HOME)).order_by().values_list("station")
    found = dict(rows.annotate(Count("pk")))
    for station in Station:
        if station is not Station.HOME:
            here.add_metric([station.name.lower()], found.get(int(station), 0))
    return [here]


def _doors(at: dt.datetime) -> list[Metric]:
    tries = GaugeMetricFamily(
        "benchpost_sign_in_tries_kept",
        "Tries to sign in that are still kept, by how they ended.",
        labels=["result"],
    )
    for result, number in SignInTry.objects.order_by().values_list("result").annotate(Count("pk")):
        tries.add_metric([str(result)], number)
    return [tries]
