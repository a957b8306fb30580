"""The demonstration's shelf of good boards and its two meters, and readings judged by them. All invented."""

import datetime as dt
from decimal import Decimal
from typing import Any

from intake.models import Order
from quotes import good_boards, word_changes, word_lists
from quotes.diagnosis import Measured
from quotes.good_boards import GoodLine
from shop.demo.stage import World
from shop.traveller.measuring import measured_from

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
    "Charger in r": ("8k1", "8k2", "7k9"),
    "Display supply d": (".420", ".424", ".418"),
    "Touch line d": (".480", ".485", ".478"),
    "Antenna line r": ("2k1", "2k05", "2k15"),
}
# What every board of the trade has, and what one kind of it has besides.
COMMON = {
    "Main rail r": ("1k2", "1k15", "1k25"),
    "Charger in r": ("8k1", "8k2", "7k9"),
    "Display supply d": (".420", ".424", ".418"),
    "Touch line d": (".480", ".485", ".478"),
}
OTHERS = {
    "Oblivu One": COMMON | {"Processor rail r": ("6.4", "6.5", "6.3")},
    "Plenthor Note 5": COMMON | {"Processor rail r": ("6.4", "6.5", "6.3")},
    "Quibbet Phone 3": COMMON,
    "Zarnik Slate 9": COMMON | {"Battery line r": ("820", "810", "835")},
    "Oblivu Folio 13": COMMON | {"Keyboard line r": ("11", "12", "12.5")},
    # Too few to judge by.
    "Quibbet Tab Mini": {"Memory rail r": ("21",)},
}
REVISIONS = {
    "Zarnik Z7": "R3", "Oblivu One": "A2", "Plenthor Note 5": "1.4", "Quibbet Phone 3": "C", "Zarnik Slate 9": "R2",
    "Oblivu Folio 13": "D", "Quibbet Tab Mini": "B",
}  # fmt: skip
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
    _on_the_shelf(world, BOARD, "Shelf", POINTS)
    for family, points in OTHERS.items():
        _on_the_shelf(world, f"{family} main", family.partition(" ")[2], points)
    for rail, volts in RAILS.items():
        _carries(world, rail, volts, at)


def _on_the_shelf(world: World, board: str, label: str, points: dict[str, tuple[str, ...]]) -> None:
    revision = REVISIONS[board.removesuffix(" main")]
    at = world.ago(SINCE)
    for point, values in points.items():
        for number, value in enumerate(values, start=1):
            good_boards.take_good(
                about=GoodLine(f"{label} {number}", board, revision=revision, meter=BLUE), line=f"{point} {value}",
                key=f"demo-good-{board}-{point}-{number}"[:64], by=world.owner, at=at + dt.timedelta(minutes=number),
            )  # fmt: skip


def _carries(world: World, rail: str, volts: str, at: dt.datetime) -> None:
    word = word_lists.learn(kind="point", text=rail, within=BOARD, by=world.owner, at=at)
    assert word is not None  # noqa: S101 -- for the type checker; the name is not empty
    word_changes.set_nominal(word=word, volts=Decimal(volts), by=world.owner, at=at)


def said(order: Order, line: str, *, after: bool = False, meter: str = BLUE, **given: Any) -> Measured:
    """A line as somebody would type it at the bench, judged as the bench judges it: by the shelf, and by what was mended so far.

    `given`: what else stands beside the line, see `shop.traveller.measuring`.
    """
    family = order.device.family
    about = {
        "line": line,
        "board": f"{family} main",
        "revision": REVISIONS.get(family, ""),
        "meter": meter,
        **given,
    }
    return measured_from(about, order=order, phase="after" if after else "before")[0]
