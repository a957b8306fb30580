"""How alike two orders are, what the nearest ones point to, and how often that was right. Pure.

Likeness is Gower's general coefficient: the mean over the variables that both orders can be compared by, each between 0 and
1. Source: J. C. Gower, "A general coefficient of similarity and some of its properties", Biometrics 27 (1971),
pages 857-871, from memory. Sets are scored by Jaccard's share (intersection over union).
"""

from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

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


@dataclass(frozen=True)
class HitRate:
    """Right in `right` of `of` cases."""

    right: int
    of: int


def likeness(one: Case, other: Case) -> float:
    """Gower's mean of kind, family, symptoms, what happened before, and the verdict at each place both were measured.

    Kind and family always count. A set that is empty on both sides, and a place that one of them was not measured at, has
    no weight. Symmetric; 1 for a case with itself.
    """
    scores = [float(one.kind == other.kind), float(one.family == other.family)]
    for mine, theirs in ((one.symptoms, other.symptoms), (one.before, other.before)):
        if mine or theirs:
            scores.append(len(mine & theirs) / len(mine | theirs))
    shared = one.verdicts.keys() & other.verdicts.keys()
    equal = sum(one.verdicts[place] == other.verdicts[place] for place in shared)
    return (sum(scores) + equal) / (len(scores) + len(shared))


def nearest(asked: Case, cases: Iterable[Case], *, most: int = NEAREST) -> list[Near]:
    """The cases most like the one asked about, the nearest first, without itself."""
    found = [Near(case, likeness(asked, case)) for case in cases if case.number != asked.number]
    return sorted(found, key=lambda near: (-near.likeness, -near.case.number))[:most]


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


def leave_one_out(
    cases: Sequence[Case], *, most: int = NEAREST, among: Callable[[Case], Hashable] = lambda case: case.kind
) -> HitRate:
    """For each case in turn: what would the others have suggested, and was that it. Cases without a suggestion are left out.

    `among` names the group a case is compared within, as the sheet does.
    """
    groups: dict[Hashable, list[Case]] = {}
    for case in cases:
        groups.setdefault(among(case), []).append(case)
    told = list(_told(groups.values(), most))
    return HitRate(sum(case.fault == fault for case, fault in told), len(told))


def predictions(cases: Sequence[Case], *, most: int = NEAREST) -> dict[int, str]:
    """By the number of each case, the fault the others suggest for it."""
    return {case.number: fault for case, fault in _told([list(cases)], most)}


def _told(groups: Iterable[Sequence[Case]], most: int) -> Iterator[tuple[Case, str]]:
    for group in groups:
        for case in group:
            told = suggestion(nearest(case, group, most=most))
            if told is not None:
                yield case, told.fault
