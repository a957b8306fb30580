"""Another hand's product-limit estimate (lifelines, and statsmodels for the band on the log scale) on random stays with ties
and orders still open."""

import random

import numpy as np
import pytest
from lifelines import KaplanMeierFitter
from statsmodels.duration.survfunc import SurvfuncRight

from shop.books.turnaround_maths import curve_of, curve_of_days, kaplan_meier


def stays(seed: int) -> list[tuple[int, bool]]:
    """Many ties, a quarter still open, some open at the very time others end."""
    rng = random.Random(seed)
    size = rng.randrange(5, 300)
    return [(1 + int(rng.expovariate(0.2)), rng.random() < 0.75) for _ in range(size)]


@pytest.mark.parametrize("seed", range(12))
def test_share_error_and_band_are_those_of_the_library(seed: int) -> None:
    given = stays(seed)
    ours = kaplan_meier(given)
    theirs = KaplanMeierFitter().fit([day for day, _ in given], [ended for _, ended in given])
    share = theirs.survival_function_["KM_estimate"]
    band = theirs.confidence_interval_
    assert [step.time for step in ours.steps] == list(
        theirs.event_table.index[theirs.event_table["observed"] > 0]
    )
    for step in ours.steps:
        row = theirs.event_table.loc[step.time]
        assert (step.at_risk, step.ended) == (row["at_risk"], row["observed"])
        assert step.open_share == pytest.approx(share.loc[step.time], abs=1e-12)
        if step.left:
            low, high = band.loc[step.time]
            assert (step.low, step.high) == pytest.approx((low, high), abs=1e-9)
    median = theirs.median_survival_time_
    assert ours.median == (None if np.isinf(median) else median)


@pytest.mark.parametrize("seed", range(12))
def test_greenwoods_error_is_that_of_another_library(seed: int) -> None:
    given = stays(seed)
    ours = kaplan_meier(given)
    theirs = SurvfuncRight([day for day, _ in given], [int(ended) for _, ended in given])
    assert [step.time for step in ours.steps] == list(theirs.surv_times)
    assert [step.open_share for step in ours.steps] == pytest.approx(list(theirs.surv_prob), abs=1e-12)
    whole = [number for number, step in enumerate(ours.steps) if step.left]
    assert [ours.steps[number].se for number in whole] == pytest.approx(
        [theirs.surv_prob_se[number] for number in whole], rel=1e-9
    )


@pytest.mark.parametrize("seed", range(12))
def test_counted_by_days_it_is_the_same_curve_step_by_step(seed: int) -> None:
    given = stays(seed)
    days = np.array([day for day, _ in given], dtype=np.int64)
    ended = np.array([end for _, end in given], dtype=np.bool_)
    counts: dict[int, tuple[int, int]] = {}
    for day, end in given:
        gone, running = counts.get(day, (0, 0))
        counts[day] = (gone + end, running + (not end))
    ours = kaplan_meier(given)
    assert curve_of_days(days, ended) == ours
    assert curve_of(counts) == ours


def test_a_hundred_thousand_days_agree_with_the_library() -> None:
    rng = np.random.default_rng(7)
    days = rng.lognormal(1.6, 0.8, 100_000).astype(np.int64) + 1
    ended = rng.random(100_000) < 0.92
    ours = curve_of_days(days, ended)
    theirs = KaplanMeierFitter().fit(days, ended)
    share = theirs.survival_function_["KM_estimate"]
    assert max(abs(step.open_share - share.loc[step.time]) for step in ours.steps) < 1e-12
    assert ours.median == theirs.median_survival_time_
