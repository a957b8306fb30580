"""What changed between two versions of a test list."""

import pytest

from shop.bench.list_changes import changes_between

ROWS = [{"text": "Wi-Fi", "must": True}, {"text": "Buttons", "must": True}]
NOW = (ROWS, 30, False)


@pytest.mark.parametrize("after, said", [
    (NOW, []),
    (([*ROWS, {"text": "Pen"}], 30, False), ["New: Pen."]),
    ((ROWS[:1], 30, False), ["Taken away: Buttons."]),
    ((ROWS[::-1], 30, False), ["The order of the rows."]),
    ((ROWS, 45, False), ["Left on at the end: 45 minutes, before 30."]),
    ((ROWS, 30, True), ["Second pair of eyes: on."]),
    (([{"text": "Wi-Fi", "must": False}, ROWS[1]], 30, False), ["Wi-Fi: must pass no, before yes."]),
    (([{**ROWS[0], "mode": "amps", "high": "0.002"}, ROWS[1]], 30, False),
     ["Wi-Fi: measured in amps, before nothing.", "Wi-Fi: at most 0.002, before nothing."]),
])  # fmt: skip
def test_each_change_is_one_sentence(after, said):
    assert changes_between(NOW, after) == said
