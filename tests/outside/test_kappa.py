"""Source: scikit-learn (`cohen_kappa_score`) for kappa and statsmodels (`cohens_kappa`) for its error, on seeded tables; the
table of 64 is made up to the trade notes' n, agreement and kappa (its cells are not printed there)."""

import random

import numpy as np
import pytest
from sklearn.metrics import cohen_kappa_score
from statsmodels.stats.inter_rater import cohens_kappa

from shop.books.promises.kappa_maths import agreement


def _pairs(seed):
    draw = random.Random(seed)
    names = "abcdefg"[: draw.randrange(2, 8)]
    pairs = []
    for _ in range(draw.randrange(8, 120)):
        found = draw.choice(names)
        pairs.append((found if draw.random() < 0.5 else draw.choice(names), found))
    return [*pairs, (names[0], names[1]), (names[1], names[0])]


def _table(pairs):
    names = sorted({name for pair in pairs for name in pair})
    place = {name: number for number, name in enumerate(names)}
    table = np.zeros((len(names), len(names)))
    for one, other in pairs:
        table[place[one], place[other]] += 1
    return table


@pytest.mark.parametrize("seed", range(40))
def test_kappa_and_its_error_equal_two_libraries(seed):
    pairs = _pairs(seed)
    ours = agreement(pairs)
    said, found = zip(*pairs, strict=True)
    assert ours.kappa == pytest.approx(cohen_kappa_score(said, found), abs=1e-12)
    assert ours.error == pytest.approx(cohens_kappa(_table(pairs)).std_kappa, abs=1e-12)


def test_nothing_to_tell_where_both_say_one_thing():
    assert agreement([]).kappa is None
    assert agreement([("battery", "battery")] * 5).kappa is None


# (said, found): how many. Made up to the printed n, agreement, kappa and row of the socket.
SIXTY_FOUR = {
    ("socket", "socket"): 6, ("socket", "other"): 20,
    ("battery", "battery"): 9, ("battery", "socket"): 2, ("battery", "other"): 3,
    ("screen", "screen"): 6, ("screen", "battery"): 1, ("screen", "other"): 5,
    ("software", "software"): 5, ("software", "screen"): 1, ("software", "other"): 6,
}  # fmt: skip


def test_sixty_four_ideas_agree_as_the_trade_notes_print():
    pairs = [pair for pair, count in SIXTY_FOUR.items() for _ in range(count)]
    ours = agreement(pairs)
    assert (ours.n, round(ours.agreed, 3), round(ours.kappa, 3)) == (64, 0.406, 0.325)
    assert sum(said == "socket" for said, _ in pairs) == 26
