"""Runs orders that have left again under other rules. Pure; exact: no chance is drawn, a share of an order counts as a share.

Nothing changed gives back each line to the cent. What a customer would have answered at another price is the owner's own
assumption (`Rules.fewer`), applied to each order as an expected value: common practice, no source.
"""

from collections.abc import Iterable, Sequence
from fractions import Fraction
from operator import attrgetter

from shop.books.lines import Books, Line
from shop.books.replay.shapes import (
    NO_MORE,
    Both,
    Extra,
    More,
    Part,
    Priced,
    Replayed,
    Rules,
    Run,
    Stop,
    StopSide,
    Sums,
)

PERCENT = 100_000
MINUTE = 60
STOPS = (30, 45, 60, 90, 120)


def replayed(books: Books, extra: Extra) -> Replayed:
    """Every order that left in the window, as it was and under `extra.rules`."""
    rules = extra.rules
    both = []
    again = []
    for line in books.gone():
        more = extra.more.get(line.order, NO_MORE)
        was = as_it_was(line, more)
        both.append(Both(line, was, under(line, more, rules, card=extra.card, was=was)))
        if _limit_no_longer_holds(line, more, rules):
            again.append(line.order)
    was_sums = added_up((one.line, one.was) for one in both)
    would = added_up((one.line, one.would) for one in both)
    return Replayed(rules, tuple(both), was_sums, would, tuple(again))


def stops(books: Books, extra: Extra, minutes: Sequence[int] = STOPS) -> list[Stop]:
    """What each stop rule alone does, both sides of it."""
    return [_stop_at(books.gone(), extra, limit) for limit in minutes]


def as_it_was(line: Line, more: More = NO_MORE) -> Run:
    """The ledger's own figures of an order."""
    return Run(
        order=line.order, billed=line.billed, parts=line.parts, spoiled=line.spoiled, post=line.post, fees=line.fees,
        losses=line.losses, cover=0, look=line.look * MINUTE, repair=line.repair * MINUTE, test=line.test * MINUTE, talk=line.talk * MINUTE,
        bench=line.bench, waited=sum(answer.seconds for answer in more.answers if not answer.by_limit),
        at_once=int(bool(more.answers) and all(answer.by_limit for answer in more.answers)),
    )  # fmt: skip


def under(line: Line, more: More, rules: Rules, *, card: int = 0, was: Run | None = None) -> Run:
    """One order under other rules: stopped or priced, then covered, then timed. `card`: thousandths of a percent."""
    run = was or as_it_was(line, more)
    if _stopped(line, rules):
        run = _stop(run, line, more, rules.stop_after or 0, card)
    else:
        asked = asked_then(line, more, rules)
        if rules.prices:
            run = _priced(run, line, more, rules, asked, card)
        run = _timed(run, more, rules, asked)
    return _covered(run, line, more, rules)


def added_up(rows: Iterable[tuple[Line, Run]]) -> Sums:
    """All orders as one: each sum is that of the rows, which are rounded already."""
    known = list(rows)
    runs = [run for _, run in known]
    names = ("billed", "parts", "spoiled", "post", "fees", "losses", "cover", "bench", "waited", "at_once")
    sums = {name: sum(map(attrgetter(name), runs)) for name in names}
    cash = 2 * sums["billed"] - sum(sums[name] for name in names[:7])
    return Sums(
        **sums,
        orders=len(runs),
        cash=cash,
        full=cash - sums["bench"],
        spent=sum(run.look + run.repair + run.test + run.talk for run in runs),
        mended=sum(_millionths(run.yes) for line, run in known if line.mended),
    )


def over(top: int, bottom: int) -> int:
    """A quotient as a whole number, rounded half up, away from nought: as `intake.money.quantize` does."""
    whole = (2 * abs(top) + bottom) // (2 * bottom)
    return whole if top >= 0 else -whole


def half_up(value: Part) -> int:
    """A whole number of smallest units, rounded half up, away from nought."""
    return over(value.numerator, value.denominator)


def _millionths(share: Part) -> int:
    return 1_000_000 if share == 1 else half_up(share * 1_000_000)


def repriced(lines: Sequence[Priced], rules: Rules, remedy: str) -> tuple[int, int]:
    """By how much the labour of `lines` changes, without tax, and its tax; each line rounded, then the floor."""
    held = rules.labour if rules.labour is not None and rules.remedy in ("", remedy) else None
    net = tax = told = 0
    for old, rate in lines:
        new = old if held is None else over(old * held.numerator, held.denominator)
        told, net, tax = told + new, net + new - old, tax + _tax(new, rate) - _tax(old, rate)
    if rules.floor is not None and 0 < told < rules.floor:
        net, tax = net + rules.floor - told, tax + _tax(rules.floor - told, lines[0][1])
    return net, tax


def asked_then(line: Line, more: More, rules: Rules) -> int:
    """The total, with tax, that its agreed quote would have asked."""
    return more.asked + sum(repriced(more.asked_labour, rules, line.remedy)) if rules.prices else more.asked


def share_of_yes(more: More, rules: Rules, asked: int) -> Part:
    """Which share of an agreed order would still be agreed to at `asked`: 1 at no more than it cost, or within its own
    limit; else 1 - fewer / 100 for each 10 % more."""
    if not rules.fewer or more.asked <= 0 or asked <= more.asked:
        return 1
    if more.answers and more.answers[-1].by_limit and asked <= more.limit:
        return 1
    whole = 10 * rules.fewer.denominator * more.asked
    return Fraction(max(0, whole - rules.fewer.numerator * (asked - more.asked)), whole)


def _tax(net: int, rate: int) -> int:
    return over(net * rate, PERCENT) if rate else 0


def _stopped(line: Line, rules: Rules) -> bool:
    """A comeback is looked at to its end: what is owed under warranty is done."""
    return rules.stop_after is not None and line.look > rules.stop_after and not line.comeback_of


def _stop(run: Run, line: Line, more: More, minutes: int, card: int) -> Run:
    ended = _unmended(run, line, more, card)._replace(
        look=minutes * MINUTE, waited=0, at_once=0, stopped=True, yes=0
    )
    return ended._replace(bench=_bench(line, ended.spent))


def _unmended(run: Run, line: Line, more: More, card: int) -> Run:
    """Sent back as it came: the post is billed, no part is used, nothing is repaired or tested."""
    billed = sum(net for net, _ in more.post)
    gross = billed + sum(_tax(net, rate) for net, rate in more.post)
    ended = run._replace(
        billed=billed, parts=0, spoiled=0, fees=_fees(line, more, gross - more.gross, card), repair=0, test=0
    )
    return ended._replace(bench=_bench(line, ended.spent))


def _priced(run: Run, line: Line, more: More, rules: Rules, asked: int, card: int) -> Run:
    """At another price, and where fewer say yes: so much of the order as still does, the rest sent back as it came."""
    net, tax = repriced(more.labour, rules, line.remedy)
    share = share_of_yes(more, rules, asked)
    if share == 1 and not net and not tax:
        return run
    paid = run._replace(billed=line.billed + net, fees=_fees(line, more, net + tax, card))
    return paid if share == 1 else _mixed(paid, _unmended(run, line, more, card), share)


def _mixed(paid: Run, back: Run, share: Part) -> Run:
    part, whole = share.numerator, share.denominator
    rest = whole - part

    def expected(yes: int, no: int) -> int:
        return over(part * yes + rest * no, whole)

    return paid._replace(
        billed=expected(paid.billed, back.billed), parts=expected(paid.parts, back.parts),
        spoiled=expected(paid.spoiled, back.spoiled), fees=expected(paid.fees, back.fees),
        bench=expected(paid.bench, back.bench), repair=expected(paid.repair, 0), test=expected(paid.test, 0), yes=share,
    )  # fmt: skip


def _fees(line: Line, more: More, gross: int, card: int) -> int:
    """Payment fees when `gross` more, or less, is paid with tax: where there was a fee, the card's share of it moves."""
    if not line.fees or not gross:
        return line.fees
    if more.gross + gross <= 0:
        return 0
    return max(0, over(line.fees * PERCENT + card * gross, PERCENT))


def _bench(line: Line, spent: int) -> int:
    """What so many seconds cost, at what one of its own minutes cost this order."""
    own = line.minutes * MINUTE
    if spent == own:
        return line.bench
    return over(line.bench * spent, own) if own else 0


def _covered(run: Run, line: Line, more: More, rules: Rules) -> Run:
    if rules.cover_above is None or not more.posted or line.declared <= rules.cover_above:
        return run
    part = line.declared - rules.cover_above
    percent = rules.cover_percent
    cost = over(percent.numerator * part, 100 * percent.denominator) + rules.cover_fixed
    return run._replace(cover=cost, losses=run.losses - min(more.lost, part, max(0, run.losses)))


def _timed(run: Run, more: More, rules: Rules, asked: int) -> Run:
    """Within a standing limit work starts at once: the wait for that answer is gone. The last quote is the one priced anew."""
    if rules.limit is None or not more.answers:
        return run
    totals = [*(answer.total for answer in more.answers[:-1]), asked]
    waits = [
        answer.seconds
        for answer, total in zip(more.answers, totals, strict=True)
        if not answer.by_limit and total > rules.limit
    ]
    return run._replace(waited=sum(waits), at_once=int(not waits))


def _limit_no_longer_holds(line: Line, more: More, rules: Rules) -> bool:
    """Whether a standing limit started it, and the new price is above."""
    if not rules.prices or not more.answers or not more.answers[-1].by_limit or _stopped(line, rules):
        return False
    return asked_then(line, more, rules) > max(more.asked, more.limit, rules.limit or 0)


def _stop_at(lines: Sequence[Line], extra: Extra, minutes: int) -> Stop:
    rules = Rules(stop_after=minutes)
    sides: dict[bool, list[tuple[int, int]]] = {False: [], True: []}
    for line in lines:
        if _stopped(line, rules):
            more = extra.more.get(line.order, NO_MORE)
            change = under(line, more, rules, card=extra.card).full - line.full
            sides[line.mended].append((line.order, change))
    unmended, mended = (
        StopSide(tuple(order for order, _ in rows), sum(change for _, change in rows))
        for rows in (sides[False], sides[True])
    )
    return Stop(minutes, unmended, mended)
