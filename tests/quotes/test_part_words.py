"""A part that is not new is called so, once, and never loses it to the length of its text."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotes.models import Part
from quotes.part_words import named_as


@pytest.mark.parametrize(
    ("text", "condition", "said"),
    [
        ("Speaker", "from a donor board", "Speaker (from a donor board)"),
        ("Speaker (from a donor board)", "from a donor board", "Speaker (from a donor board)"),
        ("Flex part, Used, tested", "used", "Flex part, Used, tested"),
        ("Unused flex", "used", "Unused flex (used)"),
        ("Wire", "new", "Wire"),
        ("Wire", "", "Wire"),
    ],
)
def test_condition_is_said_once(text, condition, said):
    assert named_as(text, condition) == said


@given(st.text(max_size=400), st.sampled_from(Part.Condition.labels))
def test_condition_survives_any_text_and_is_not_said_twice(text, condition):
    said = named_as(text, condition)
    assert len(said) <= 200 and named_as(said, condition) == said
    assert condition == "new" or condition in said.casefold()
