"""What a replay says: rows side by side, what was assumed, what nobody can know. Pure."""

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from intake import wording
from shop.books.figure_words import Say, places
from shop.books.replay.replay_maths import half_up, over
from shop.books.replay.shapes import Both, Part, Replayed, Rules, Stop, StopSide, Sums

DAY = 86_400
SAME = "same"
UNKNOWN = (
    "Orders that never came because of a price, a limit or a rule, and those that would have come.",
    "What a customer who said no would have said to a lower price.",
)
STOPPED = (
    "Looking stops after {minutes}. What took longer to find goes home unmended: the looking is cut, no part is used, only the "
    "post is billed. It is never quoted, so nobody waits for its answer. Comebacks are looked at to their end."
)


@dataclass(frozen=True)
class Row:
    """One line of the comparison; `sum` stands out as a total."""

    name: str
    was: str
    would: str
    difference: str
    sum: bool = False


def rows(ran: Replayed, say: Say) -> list[Row]:
    """The year in sum, as it was and as it would have been."""
    was, would = ran.was, ran.would

    def money(name: str, get: Callable[[Sums], int], *, total: bool = False) -> Row:
        change = get(would) - get(was)
        return Row(name, say.money(get(was)), say.money(get(would)), changed(change, say), total)

    return [
        money("Billed, without tax", lambda sums: sums.billed),
        money("Parts used", lambda sums: sums.parts),
        money("Parts spoiled", lambda sums: sums.spoiled),
        money("Post", lambda sums: sums.post),
        money("Payment fees", lambda sums: sums.fees),
        money("Losses", lambda sums: sums.losses),
        money("Cover bought", lambda sums: sums.cover),
        money("Cash margin", lambda sums: sums.cash, total=True),
        _counted("Bench minutes", over(was.spent, 60), over(would.spent, 60), _number),
        money("What the minutes cost", lambda sums: sums.bench),
        money("Full margin", lambda sums: sums.full, total=True),
        _hour(was.hour, would.hour, say),
        _counted("Orders mended", _orders(was.mended), _orders(would.mended), _number),
        _counted("Started at once, under a limit", was.at_once, would.at_once, _number),
        _counted("Days waited for a yes", Fraction(was.waited, DAY), Fraction(would.waited, DAY), _number),
    ]


def _hour(was: Fraction | None, would: Fraction | None, say: Say) -> Row:
    before, after = (None if value is None else half_up(value) for value in (was, would))
    told = ["no minutes" if value is None else say.money(value) for value in (before, after)]
    change = 0 if before is None or after is None else after - before
    return Row("Cash margin of an hour", told[0], told[1], changed(change, say), sum=True)


def _counted(name: str, was: Part, would: Part, said: Callable[[Part], str]) -> Row:
    change: Part = would - was
    difference = f"{'+' if change > 0 else '-'}{said(change if change > 0 else -change)}" if change else SAME
    return Row(name, said(was), said(would), difference)


def _orders(millionths: int) -> Fraction:
    return Fraction(millionths, 1_000_000)


def _number(value: Part) -> str:
    return f"{int(value):,}" if value == int(value) else places(float(value), 1)


def changed(amount: int, say: Say) -> str:
    """A difference with its sign; a word where there is none."""
    return f"+{say.money(amount)}" if amount > 0 else say.money(amount) if amount else SAME


def assumed(ran: Replayed, say: Say, *, at_stop: Stop | None = None) -> list[str]:
    """A sentence for each rule that was changed, and what it takes for granted."""
    rules = ran.rules
    told = []
    if rules.prices:
        told += [_of_price(rules, say), _of_answers(rules)]
    if ran.asked_again:
        started = wording.count(len(ran.asked_again), "order was", "orders were")
        told.append(
            f"{started} started under a standing limit that the new price is above, and would have had to be asked; how long that "
            "takes is not counted."
        )
    if rules.limit is not None:
        told.append(
            f"Everybody who said yes is taken to have set a limit of at least {say.money(rules.limit)}. Those who said no would "
            "not have set it. A wait that falls away is taken off whole, though the bench may have been busy."
        )
    if rules.cover_above is not None:
        told.append(_of_cover(ran, say))
    if rules.stop_after is not None:
        told += _of_stop(rules.stop_after, at_stop, say)
    if rules.prices or rules.stop_after is not None:
        told.append("Payment fees move by what the card costs now. Other losses stay as they were.")
    return told


def _of_price(rules: Rules, say: Say) -> str:
    which = f"of {rules.remedy}" if rules.remedy else "of every order"
    told = []
    if rules.labour is not None:
        change = (rules.labour - 1) * 100
        way = "dearer" if change >= 0 else "cheaper"
        told.append(f"Labour {which} is {_number(abs(change))} % {way}, each line rounded")
    if rules.floor is not None:
        told.append(f"labour that is charged costs at least {say.money(rules.floor)}")
    sentence = "; ".join(told)
    return f"{sentence[0].upper()}{sentence[1:]}. Parts, post and tax rates stay as they were."


def _of_answers(rules: Rules) -> str:
    if not rules.fewer:
        return "Your assumption: everybody who said yes still says yes, whatever the new price."
    return (
        f"Your assumption: for each 10 % more on the whole quote, {_number(rules.fewer)} of 100 fewer say yes. Such an order counts "
        "in shares: so much of it mended at the new price, the rest sent back as it came, its looking unpaid."
    )


def _of_cover(ran: Replayed, say: Say) -> str:
    covered = [both for both in ran.orders if both.would.cover or both.would.losses != both.was.losses]
    back = sum(both.was.losses - both.would.losses for both in ran.orders)
    above = say.money(ran.rules.cover_above or 0)
    return (
        f"Cover is bought for what a parcel is worth above {above}: {wording.count(len(covered), 'parcel')} of the year, "
        f"{say.money(ran.would.cover)} in all. {say.money(back)} of what parcels lost on the way home cost comes back. "
        "Every claim is taken to be paid."
    )


def _of_stop(minutes: int, stop: Stop | None, say: Say) -> list[str]:
    told = [STOPPED.format(minutes=wording.minutes(minutes))]
    if stop is not None:
        told.append(f"{side(stop.unmended, 'not mended', say)} {side(stop.mended, 'mended', say)}")
    return told


def side(side: StopSide, how: str, say: Say) -> str:
    """One side of a stop rule in a sentence."""
    if not side.orders:
        return f"It stops no order that was {how}."
    stopped = wording.count(len(side.orders), "order that was", "orders that were")
    return f"It stops {stopped} {how}: {changed(side.difference, say)}."


def why(both: Both, rules: Rules, say: Say) -> str:
    """What made one order change."""
    line, was, would = both
    told = []
    if would.stopped:
        told.append(f"stopped at {rules.stop_after} of {line.look} minutes of looking")
    elif would.yes != 1:
        told.append(f"{places(float(would.yes) * 100, 0)} % of it still agreed to")
    if would.billed != was.billed:
        told.append(f"billed {say.money(would.billed)} instead of {say.money(was.billed)}")
    if would.losses != was.losses:
        told.append(f"{say.money(was.losses - would.losses)} comes back")
    if would.cover:
        told.append(f"cover {say.money(would.cover)}")
    sentence = "; ".join(told)
    return f"{sentence[:1].upper()}{sentence[1:]}."


@dataclass(frozen=True)
class Change:
    """One order that changes: why, its full margin as it was and would have been, and the difference."""

    why: str
    was: str
    would: str
    difference: str


def change(both: Both, rules: Rules, say: Say) -> Change:
    """One order in words."""
    told = say.money(both.was.full), say.money(both.would.full), changed(both.difference, say)
    return Change(why(both, rules, say), *told)


@dataclass(frozen=True)
class StopRow:
    """What one stop rule alone would have done."""

    minutes: str
    unmended: str
    saved: str
    mended: str
    lost: str
    both: str


def stop_row(stop: Stop, say: Say) -> StopRow:
    """One stop rule in words."""
    return StopRow(
        f"{stop.minutes} min", str(len(stop.unmended.orders)), changed(stop.unmended.difference, say),
        str(len(stop.mended.orders)), changed(stop.mended.difference, say), changed(stop.difference, say),
    )  # fmt: skip
