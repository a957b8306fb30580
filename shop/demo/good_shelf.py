"""The demonstration's shelf of good boards and its two meters: what a new reading is judged by. All invented."""

import datetime as dt
from dataclasses import replace
from decimal import Decimal

from quotes import good_boards, word_changes, word_lists
from quotes.diagnosis import Measured
from quotes.good_boards import GoodLine
from shop.demo.stage import World

BOARD, BLUE, RED = "Zarnik Z7 main", "Blue", "Red"
SINCE = 88
# One value for each good board on the shelf, as typed.
POINTS = {
    "Microphone bias d": (".451", ".449", ".452", ".451", ".450", ".453", ".448"),
    "Main rail r": ("1k2", "1k3", "1k15", "1k2", "1k25"),
    "PP1V8 r": ("310", "325", "298", "316"),
    "Charger in d": (".512", ".508", ".515"),
    "Flash line r": ("OL", "OL", "OL"),
    "PP3V0 d": (".377", ".381"),
}
RAILS = {"PP1V8": "1.8", "PP3V0": "3.0", "Main rail": "3.8"}


def fill(world: World) -> None:
    """Seven good boards of one kind, two meters that read a little apart, what three rails carry."""
    at, by = world.ago(SINCE), world.owner
    for name, note, amount in ((BLUE, "On the arm by the microscope", "0"), (RED, "In the drawer", "4m")):
        meter = good_boards.add_meter(name=name, note=note, by=by, at=at)
        good_boards.set_offset(
            meter=meter, mode="diode", amount=good_boards.offset_from(amount, "diode"),
            why="The same good board, measured with both", by=by, at=at,
        )  # fmt: skip
    for point, values in POINTS.items():
        for number, value in enumerate(values, start=1):
            good_boards.take_good(
                about=GoodLine(f"Shelf {number}", BOARD, meter=BLUE), line=f"{point} {value}",
                key=f"demo-good-{point}-{number}", by=by, at=at + dt.timedelta(minutes=number),
            )  # fmt: skip
    for rail, volts in RAILS.items():
        _carries(world, rail, volts, at)


def _carries(world: World, rail: str, volts: str, at: dt.datetime) -> None:
    word = word_lists.learn(kind="point", text=rail, within=BOARD, by=world.owner, at=at)
    assert word is not None  # noqa: S101 -- for the type checker; the name is not empty
    word_changes.set_nominal(word=word, volts=Decimal(volts), by=world.owner, at=at)


def of_the_shelf(reading: Measured) -> Measured:
    """A reading at the microphone line, judged by the seven boards of the shelf."""
    return replace(reading, board=BOARD, meter=BLUE, expected_n=len(POINTS["Microphone bias d"]))
