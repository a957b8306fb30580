"""Source: 6-MP remission data (Freireich and others, 1963) as bundled with the lifelines package; survival and standard
error as printed by R in two public notebooks; log interval as R prints by default; log-log interval as lifelines computes it."""

import pytest

from shop.books.turnaround_maths import curve_of, kaplan_meier

TREATED = "6 6 6 6+ 7 9+ 10 10+ 11+ 13 16 17+ 19+ 20+ 22 23 25+ 32+ 32+ 34+ 35+"
PLACEBO = "1 1 2 2 3 4 4 5 5 8 8 8 8 11 11 12 12 15 17 22 23"

# 95 % on the log scale, to the three digits R prints.
LOG = [
    (0.720, 1.000), (0.653, 0.996), (0.586, 0.968), (0.510, 0.935), (0.439, 0.896), (0.337, 0.858), (0.249, 0.807),
]  # fmt: skip
PUBLISHED = [
    (6, 21, 3, 0.857143, 0.076360, 0.6197, 0.9516),
    (7, 17, 1, 0.806723, 0.086935, 0.5631, 0.9228),
    (10, 15, 1, 0.752941, 0.096350, 0.5032, 0.8894),
    (13, 12, 1, 0.690196, 0.106815, 0.4316, 0.8491),
    (16, 11, 1, 0.627451, 0.114054, 0.3675, 0.8049),
    (22, 7, 1, 0.537815, 0.128234, 0.2678, 0.7468),
    (23, 6, 1, 0.448179, 0.134591, 0.1881, 0.6801),
]


def curve(text):
    return kaplan_meier((float(word.rstrip("+")), not word.endswith("+")) for word in text.split())


def test_published_table():
    found = curve(TREATED)
    assert [(step.time, step.at_risk, step.ended) for step in found.steps] == [row[:3] for row in PUBLISHED]
    for step, (*_, share, error, low, high) in zip(found.steps, PUBLISHED, strict=True):
        assert float(step.still_open) == pytest.approx(share, abs=6e-7)
        assert step.se == pytest.approx(error, abs=6e-7)
        assert step.low == pytest.approx(low, abs=6e-5)
        assert step.high == pytest.approx(high, abs=6e-5)


def test_published_interval_on_the_log_scale():
    found = [step.log_limits() for step in curve(TREATED).steps]
    assert [(round(low, 3), round(high, 3)) for low, high in found] == LOG


def test_counted_by_weeks_it_is_the_same_table():
    counts: dict[int, tuple[int, int]] = {}
    for word in TREATED.split():
        week, ended = int(word.rstrip("+")), not word.endswith("+")
        gone, running = counts.get(week, (0, 0))
        counts[week] = (gone + ended, running + (not ended))
    assert curve_of(counts) == curve(TREATED)


def test_placebo_has_nobody_left_open_and_is_plain_counting():
    weeks = [int(word) for word in PLACEBO.split()]
    found = curve(PLACEBO)
    assert found.running == 0
    for step in found.steps:
        assert step.open_share == pytest.approx(sum(week > step.time for week in weeks) / 21)
    assert found.steps[-1].still_open == 0


def test_one_last_seen_at_the_time_of_an_end_still_counts_at_risk():
    assert curve(TREATED).steps[0].at_risk == 21


def test_medians():
    assert curve(TREATED).median == 23
    assert curve(PLACEBO).median == 8


def test_restricted_mean():
    assert curve(TREATED).restricted_mean(35) == pytest.approx(23.2874, abs=5e-5)
