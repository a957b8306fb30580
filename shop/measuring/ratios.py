"""Two things timed side by side: what is asked for, and the floor it cannot fall below."""

import statistics
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass

Deed = Callable[[], object]


@dataclass(frozen=True)
class Row:
    """One thing to measure. `floor` and `ours` each do the work once; `why` says why it cannot be measured.

    `times`: how often a round does each, where the work is long; else what the command says.
    """

    name: str
    floor_name: str
    goal: float
    floor: Deed | None = None
    ours: Deed | None = None
    queries: int | None = None
    why: str = ""
    times: int = 0


@dataclass(frozen=True)
class Result:
    """Medians in milliseconds; None where there was nothing to measure."""

    row: Row
    floor_ms: float | None = None
    ours_ms: float | None = None

    @property
    def ratio(self) -> float | None:
        if self.floor_ms is None or self.ours_ms is None or not self.floor_ms:
            return None
        return self.ours_ms / self.floor_ms


def measure(row: Row, *, rounds: int, times: int, clock: Callable[[], float] = time.perf_counter) -> Result:
    """The medians over rounds; floor and ours take turns, so that a busy moment of the machine hits both.

    Raises ValueError below five rounds: a median of fewer says nothing.
    """
    if rounds < 5:
        raise ValueError("At least five rounds.")
    if row.floor is None or row.ours is None:
        return Result(row)
    for deed in (row.floor, row.ours):
        deed()
    floors, ours = [], []
    for _ in range(rounds):
        floors.append(_once(row.floor, row.times or times, clock))
        ours.append(_once(row.ours, row.times or times, clock))
    return Result(row, statistics.median(floors), statistics.median(ours))


def _once(deed: Deed, times: int, clock: Callable[[], float]) -> float:
    began = clock()
    for _ in range(times):
        deed()
    return (clock() - began) * 1000 / times


def table(results: Sequence[Result]) -> list[str]:
    """The lines to print."""
    lines = [f"{'row':<18}{'floor':<34}{'floor ms':>9}{'ours ms':>9}{'ratio':>7}{'goal':>6}{'queries':>9}"]
    for result in results:
        row, ratio = result.row, result.ratio
        if ratio is None:
            lines.append(f"{row.name:<18}{row.why or 'not there yet'}")
            continue
        queries = "" if row.queries is None else str(row.queries)
        lines.append(
            f"{row.name:<18}{row.floor_name:<34}{result.floor_ms:>9.2f}{result.ours_ms:>9.2f}"
            f"{ratio:>7.2f}{row.goal:>6.2f}{queries:>9}"
        )
    return lines
