"""Our nearest orders and their hit rate against scikit-learn's nearest neighbours, left out one by one.

Source: scikit-learn, KNeighborsClassifier(metric="precomputed") with LeaveOneOut. Distances are one minus our likeness;
generated so that no two are equal, since the two break ties differently.
"""

import random

import numpy as np
import pytest
from sklearn.model_selection import LeaveOneOut, cross_val_predict
from sklearn.neighbors import KNeighborsClassifier

from shop.seen.gower_maths import NEAREST, Case, leave_one_out, likeness, nearest, predictions, suggestion

FAULTS = ("torn pad", "liquid corrosion", "shorted capacitor", "connector damage")
PLACES = tuple(f"point {number}" for number in range(40))


def made(seed: int, count: int = 60) -> list[Case]:
    """Orders whose fault shows in what was measured, with noise; many places, so that likenesses differ."""
    dice = random.Random(seed)
    cases = []
    for number in range(count):
        fault = dice.randrange(len(FAULTS))
        verdicts = {
            place: "open" if dice.random() < (0.6 if index % len(FAULTS) == fault else 0.2) else "ok"
            for index, place in enumerate(PLACES)
            if dice.random() < 0.8
        }
        signs = [
            f"symptom {fault}" if dice.random() < 0.5 else f"symptom {dice.randrange(9)}" for _ in range(3)
        ]
        cases.append(
            Case(
                number, "phone", dice.choice(("Zarnik Z7", "Oblivu 4")), frozenset(signs),
                frozenset(dice.sample("wxyz", 2)), verdicts, FAULTS[fault],
            )
        )  # fmt: skip
    return cases


def distances(cases: list[Case]) -> np.ndarray:
    return np.array([[1 - likeness(one, other) for other in cases] for one in cases])


def by_sklearn() -> KNeighborsClassifier:
    return KNeighborsClassifier(
        n_neighbors=NEAREST, metric="precomputed", algorithm="brute", weights=lambda away: 1 - away
    )


def tie_free(cases: list[Case]) -> list[Case]:
    """Without the orders that have two others equally far at the edge of the five."""
    while True:
        edge = []
        for one in cases:
            near = nearest(one, cases, most=NEAREST + 1)
            if len(near) > NEAREST and near[NEAREST - 1].likeness == pytest.approx(
                near[NEAREST].likeness, abs=1e-12
            ):
                edge.append(one)
        if not edge:
            return cases
        cases = [each for each in cases if each is not edge[0]]


@pytest.mark.parametrize("seed", range(6))
def test_left_out_orders_get_the_fault_scikit_learn_predicts(seed: int) -> None:
    cases = tie_free(made(seed))
    assert len(cases) > 40, "too many ties were thrown out for the check to mean anything"
    faults = np.array([case.fault for case in cases])
    theirs = cross_val_predict(by_sklearn(), distances(cases), faults, cv=LeaveOneOut())
    ours = predictions(cases)
    assert [ours[case.number] for case in cases] == list(theirs)
    rate = leave_one_out(cases)
    assert (rate.k, rate.n) == (int((theirs == faults).sum()), len(cases))
    assert 0.4 < rate.k / rate.n < 1, "so easy or so hard that a wrong sum would not show"


def test_a_fresh_order_gets_the_fault_scikit_learn_predicts() -> None:
    cases = made(99, count=80)
    known, fresh = cases[:60], cases[60:]
    taught = by_sklearn().fit(distances(known), [case.fault for case in known])
    away = np.array([[1 - likeness(one, other) for other in known] for one in fresh])
    for one, theirs in zip(fresh, taught.predict(away), strict=True):
        near = nearest(one, known, most=NEAREST + 1)
        if near[NEAREST - 1].likeness != pytest.approx(near[NEAREST].likeness, abs=1e-12):
            said = suggestion(near[:NEAREST])
            assert said is not None and said.fault == theirs
