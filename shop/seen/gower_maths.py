"""How alike two orders are, what the nearest ones point to, and how often that was right. Pure.

Likeness is Gower's general coefficient: the mean over the variables that both orders can be compared by, each between 0 and
1. Source: J. C. Gower, "A general coefficient of similarity and some of its properties", Biometrics 27 (1971),
pages 857-871, from memory. Sets are scored by Jaccard's share (intersection over union).
"""

from collections import Counter
from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from shop.books.outcome_maths import Rate

NEAREST = 5
# A suggestion that rests on fewer own orders than this is shown in grey.
FEW = 5


@dataclass(frozen=True)
class Case:
    """One order as it is compared; words are canonical. `verdicts`: place of measuring to verdict, before the repair.

    `fault` is what was found, "" while that is open. `number` grows with time: of two equally near, the later goes first.
    """

    number: int
    kind: str
    family: str
    symptoms: frozenset[str] = frozenset()
    before: frozenset[str] = frozenset()
    verdicts: Mapping[Hashable, str] = field(default_factory=dict)
    fault: str = ""


@dataclass(frozen=True)
class Near:
    """A case and its likeness to the one asked about, 0 to 1."""

    case: Case
    likeness: float


@dataclass(frozen=True)
class Suggestion:
    """The fault with the most likeness behind it: `votes` of the `asked` nearest named it."""

    fault: str
    votes: int
    asked: int


def likeness(one: Case, other: Case) -> float:
    """Gower's mean of kind, family, symptoms, what happened before, and the verdict at each place both were measured.

    Kind and family always count. A set that is empty on both sides, and a place that one of them was not measured at, has
    no weight. Symmetric; 1 for a case with itself.
    """
    scores = [float(one.kind == other.kind), float(one.family == other.family)]
    for mine, theirs in ((one.symptoms, other.symptoms), (one.before, other.before)):
        if mine or theirs:
            scores.append(len(mine & theirs) / len(mine | theirs))
    shared = equal = 0
    for place, verdict in one.verdicts.items():
        if place in other.verdicts:
            shared += 1
            equal += other.verdicts[place] == verdict
    return (sum(scores) + equal) / (len(scores) + shared)


def nearest(asked: Case, cases: Iterable[Case], *, most: int = NEAREST) -> list[Near]:
    """The cases most like the one asked about, the nearest first, without itself."""
    found = [Near(case, likeness(asked, case)) for case in cases if case.number != asked.number]
    return _sorted(found)[:most]


def suggestion(near: Sequence[Near]) -> Suggestion | None:
    """The fault by vote, each near case with its likeness as weight; None where no weight is behind any.

    Of faults with equal weight, the one of the nearest case.
    """
    weights: dict[str, float] = {}
    for each in near:
        if each.case.fault:
            weights[each.case.fault] = weights.get(each.case.fault, 0.0) + each.likeness
    if not any(weights.values()):
        return None
    fault = max(weights, key=lambda name: weights[name])  # the first of equals: the nearest case's
    return Suggestion(fault, sum(each.case.fault == fault for each in near), len(near))


def predictions(cases: Sequence[Case], *, most: int = NEAREST) -> dict[int, str]:
    """By the number of each case, the fault that the others would have suggested for it; without it where there is none."""
    near: list[list[Near]] = [[] for _ in cases]
    for index, one in enumerate(cases):
        for later in range(index + 1, len(cases)):
            alike = likeness(one, cases[later])
            near[index].append(Near(cases[later], alike))
            near[later].append(Near(one, alike))
    told = {case.number: suggestion(_sorted(others)[:most]) for case, others in zip(cases, near, strict=True)}
    return {number: each.fault for number, each in told.items() if each is not None}


def leave_one_out(cases: Sequence[Case], *, most: int = NEAREST) -> Rate:
    """For each case in turn: what would the others have suggested, and was that it. Rests on those with a suggestion."""
    told = predictions(cases, most=most)
    return Rate(sum(told.get(case.number) == case.fault for case in cases), len(told))


def commonest(cases: Sequence[Case]) -> Rate:
    """How often it would have been right to name the one commonest fault every time, whatever was seen.

    What a suggestion must beat. Nothing is left out here: of faults found equally often each would then be named for the
    other one's order and never be right, which would flatter the suggestion.
    """
    if len(cases) < 2:
        return Rate(0, 0)
    return Rate(max(Counter(case.fault for case in cases).values()), len(cases))


def _sorted(near: Iterable[Near]) -> list[Near]:
    return sorted(near, key=lambda each: (-each.likeness, -each.case.number))
