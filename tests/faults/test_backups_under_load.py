"""Backups while another process commits all the time: every one can be put back, and nothing in it is half done."""

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.faults.scratch import Nursery

pytestmark = [pytest.mark.faults, pytest.mark.long]


def test_backups_under_load_are_all_whole(
    nurse: Nursery, tmp_path: Path, size: Callable[[int, int], int]
) -> None:
    stop = tmp_path / "stop"
    writer = nurse.start("write_until", stop=str(stop))
    try:
        told = nurse.call("back_up_and_put_back", count=size(3, 200))
    finally:
        stop.touch()
        ended = nurse.ended(writer)
    assert told["faults"] == []
    assert told["made"] == size(3, 200) and ended == 0
    first, last = told["orders"]
    assert last > first, "the writer was writing"
    assert nurse.call("chain") is None
