"""What lies on the bench of the demonstration now: begun, half done, running, forgotten. All invented.

Made last, since the clocks of one person go forward only.
"""

import datetime as dt

from intake import album
from intake.lifecycle import CUSTOMER
from intake.models import Order, Photo
from quotes import diagnosis, good_boards, word_changes
from quotes.diagnosis import Measured
from quotes.good_boards import GoodLine
from quotes.models import ListWord, Reading
from shop.bench import mending, soaks, testing, work
from shop.branches import own_damage
from shop.branches.own_damage import Harm
from shop.daysheet import bags
from shop.demo import cast, pictures, steps
from shop.demo.good_shelf import BLUE, BOARD, RED, REVISIONS, said
from shop.demo.stage import World, request
from shop.pictures import marks
from shop.pictures.geometry import NUMBER, Mark
from shop.vault import unlocking

# Of the crowd by their numbers: one begun today, one looked at yesterday, two at the test.
BEGUN, LOOKED_AT, SOAKING, LEFT_RUNNING = "Joss Rushmere", "Ilse Quince", "Fenn Pellow", "Kira Underhay"
HARMED = "Rafe Calloway"
RAFE = cast.person(
    HARMED, 81, make="Oblivu", model="One", symptoms=["Picture but no touch"], idea="The glass",
    words="The upper third does nothing.", declared_value=cast.MARA.declared_value,
)  # fmt: skip
MINUTE = dt.timedelta(minutes=1)


def build(world: World) -> dict[str, Order]:
    """Yesterday first, then today; the orders by what they show."""
    shown = {
        "begun": _of(BEGUN), "looked_at": _of(LOOKED_AT), "soaking": _of(SOAKING), "left_running": _of(LEFT_RUNNING),
    }  # fmt: skip
    words_of_the_lists(world)
    harmed = harm(world)
    yesterday(world, shown)
    begun(world, shown["begun"])
    soaking(world, shown["soaking"])
    work.touch(world.owner, world.as_of - MINUTE)
    return {**shown, "harmed": harmed}


def words_of_the_lists(world: World) -> None:
    """One double is merged: readings of both spellings count as one. Others are left for the owner to see."""
    at = world.ago(6)
    about = GoodLine("Shelf 3", BOARD, revision=REVISIONS["Zarnik Z7"], meter=BLUE)
    good_boards.take_good(about=about, line="Mic bias d .452", key="demo-good-again", by=world.owner, at=at)
    double = ListWord.objects.get(kind="point", folded="micbias")
    into = ListWord.objects.get(kind="point", folded="microphonebias", within=double.within)
    word_changes.merge(word=double, into=into, by=world.owner, at=at + MINUTE)


def harm(world: World) -> Order:
    """The bench hurt a cable at the opening: said plainly, nothing billed, the device waits to be packed."""
    order = request(world, RAFE, at=world.ago(5.5))
    steps.receive(order, by=world.packer, at=world.ago(2.2))
    steps.read(order, said(order, "Touch line d .484"), by=world.owner, at=world.ago(1.4))
    work.write_down(order=order, kind="look", minutes=18, by=world.owner, at=world.ago(1.35))
    told = Harm(
        "When we lifted the glass we tore the display cable. The fault you sent it for is not found yet.",
        "We pay for a new cable, fitted where you like, and for the post.",
        cast.MARA.declared_value / 4,
    )
    order.refresh_from_db()
    own_damage.own_damage(
        order=order, seen_version=order.version, harm=told, key="demo-own-damage", by=world.owner, at=world.ago(1.3)
    )  # fmt: skip
    return order


def yesterday(world: World, shown: dict[str, Order]) -> None:
    """Clocked minutes, one clock stopped too late and mended, one that still runs, minutes by hand, the bags."""
    looked_at, left = shown["looked_at"], shown["left_running"]
    late = _clocked(world, looked_at, "look", world.ago(1, 4), minutes=95)
    mending.mend(
        session=late, ended_at=late.started_at + 40 * MINUTE, why="The door rang; the rest was the post",
        by=world.owner, at=world.ago(1, 2),
    )  # fmt: skip
    _clocked(world, left, "test", world.ago(1, 1.9), minutes=12)
    work.start(order=left, kind="test", by=world.packer, at=world.ago(1, 1))
    mending.write_afterwards(
        order=looked_at, kind="talk", minutes=7, note="Rang to ask which charger it came with", by=world.owner, at=world.ago(1, 0.8)
    )  # fmt: skip
    bags.sign_count(
        found=list(bags.on_the_shelf()), note="", key="demo-bags", by=world.packer, at=world.ago(1, 0.5)
    )


def begun(world: World, order: Order) -> None:
    """At 30 since this morning: readings, one taken again, one overruled; a photo with a mark; a code; minutes run."""
    start = world.as_of - 46 * MINUTE
    unlocking.give(order=order, shape="pattern", code="1 2 5 8 9", by=CUSTOMER, at=world.ago(1.8))
    work.start(order=order, kind="look", by=world.owner, at=start)
    first = _read(world, order, said(order, "Charger in r 82"), at=start + 4 * MINUTE)
    again = said(order, "Charger in r 8.2")
    _read(world, order, again, at=start + 6 * MINUTE, instead_of=first)
    why = "The battery was still on: without it 1.2k"
    _read(world, order, said(order, "Main rail r 640", verdict="ok", verdict_why=why), at=start + 11 * MINUTE)
    _read(world, order, said(order, "Touch line d .487", meter=RED), at=start + 15 * MINUTE)
    # A spelling that no list joins yet: the rule knows no good board for it until the owner merges the two.
    newest = _read(world, order, said(order, "Charger input r 8.3"), at=start + 22 * MINUTE)
    drawn = pictures.board(7, ringed=False)
    photo = album.add_photo(
        order=order, content=drawn, role=Photo.Role.FAULT, by=world.owner.username, at=start + 24 * MINUTE
    )
    x, y = pictures.fault_of(7)
    marks.add(
        photo=photo, mark=Mark(NUMBER, x, y), said=marks.Said("Here", newest), key="demo-mark-begun",
        by=world.owner, at=start + 25 * MINUTE,
    )  # fmt: skip


def soaking(world: World, order: Order) -> None:
    """At 70 with most rows done: measured again, what needs the code not tested, and the device left on."""
    start = world.as_of - 40 * MINUTE
    bad = order.readings.get(phase="before")
    after = said(order, f"{bad.point} d .481", after=True)
    run = testing.lay_out(order=order, by=world.packer, at=start)
    testing.mark_without_code(run=run, by=world.packer, at=start + MINUTE)
    _read(world, order, after, at=start + 9 * MINUTE)
    for row in run.rows.filter(result="", symptom=False):
        if row.soak_minutes:
            soaks.start(row=row, by=world.packer, at=world.as_of - 12 * MINUTE)
        else:
            testing.mark(
                row=row, result="ok", reading=steps.noted(row), by=world.packer, at=start + 12 * MINUTE
            )


def _clocked(world: World, order: Order, kind: str, start: dt.datetime, *, minutes: int) -> work.WorkSession:
    session = work.start(order=order, kind=kind, by=world.owner, at=start)
    work.stop(by=world.owner, at=start + minutes * MINUTE)
    session.refresh_from_db()
    return session


def _read(
    world: World, order: Order, measured: Measured, *, at: dt.datetime, instead_of: Reading | None = None
) -> Reading:
    key = f"demo-{order.pk}-{at:%H%M}-{measured.point}"[:64]
    return diagnosis.take_reading(
        order=order, measured=measured, key=key, by=world.owner, at=at, instead_of=instead_of
    )


def _of(name: str) -> Order:
    return Order.objects.get(customer__name=name)
