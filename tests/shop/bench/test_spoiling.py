"""Why a part was spoiled, in the words that stand in the stock's moves."""

import pytest

from shop.bench.spoiling import REASONS, is_bad_on_arrival, spoiled_words


@pytest.mark.parametrize(
    ("reason", "words", "said"),
    [
        ("burnt", "", "Burnt"),
        ("burnt", " the  iron slipped ", "Burnt: the iron slipped"),
        ("other", "eaten by the dog", "eaten by the dog"),
        ("bad", "open", "Bad on arrival: open"),
    ],
)
def test_reason_and_words_make_one_sentence(reason, words, said):
    assert spoiled_words(reason, words) == said


@pytest.mark.parametrize("reason", ["other", "on", ""])
def test_reason_that_says_nothing_is_refused(reason):
    with pytest.raises(ValueError, match="how it was spoiled"):
        spoiled_words(reason, " ")


def test_long_words_are_cut_to_the_column():
    assert all(len(spoiled_words(reason, "x" * 400)) == 200 for reason in REASONS)


def test_only_bad_on_arrival_speaks_against_the_lot():
    assert [key for key in REASONS if is_bad_on_arrival(spoiled_words(key, "words"))] == ["bad"]
