"""Runs orders that have left again under other rules. Pure; exact: no chance is drawn, a share of an order counts as a share.

Nothing changed gives back each line to the cent. What a customer would have answered at another price is the owner's own
assumption (`Rules.fewer`), applied to each order as an expected value: common practice, no source.
"""

from collections.abc import Iterable, Sequence
from fractions import Fraction

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
TEN_PERCENT = Fraction(1, 10)
STOPS = (30, 45, 60, 90, 120)


def replayed(books: Books, extra: Extra) -> Replayed:
    """Every order that left in the window, as it was and under `extra.rules`."""
    both = []
    again = []
    for line in books.gone():
        more = extra.more.get(line.order, NO_MORE)
        both.append(Both(line, as_it_was(line, more), under(line, more, extra.rules, card=extra.card)))
        if not _stopped(line, extra.rules) and _asked_again(line, more, extra.rules):
            again.append(line.order)
    was = added_up((one.line, one.was) for one in both)
    would = added_up((one.line, one.would) for one in both)
    return Replayed(extra.rules, tuple(both), was, would, tuple(again))


def stops(books: Books, extra: Extra, minutes: Sequence[int] = STOPS) -> list[Stop]:
    """What each stop rule alone does, both sides of it."""
    return [_stop_at(books.gone(), extra, limit) for limit in minutes]


def as_it_was(line: Line, more: More = NO_MORE) -> Run:
    """The ledger's own figures of an order."""
    return Run(
        order=line.order, billed=line.billed, parts=line.parts, spoiled=line.spoiled, post=line.post, fees=line.fees,
        losses=line.losses, cover=0, look=line.look, repair=line.repair, test=line.test, talk=line.talk,
        bench=line.bench, waited=sum(answer.seconds for answer in more.answers if not answer.by_limit),
        at_once=int(bool(more.answers) and all(answer.by_limit for answer in more.answers)),
    )  # fmt: skip


def under(line: Line, more: More, rules: Rules, *, card: int = 0) -> Run:
    """One order under other rules: stopped or priced, then covered, then timed. `card`: thousandths of a percent."""
    run = as_it_was(line, more)
    if _stopped(line, rules):
        run = _stop(run, line, more, rules.stop_after or 0, card)
    else:
        if rules.prices:
            run = _priced(run, line, more, rules, card)
        run = _timed(run, line, more, rules)
    return _covered(run, line, more, rules)


def added_up(rows: Iterable[tuple[Line, Run]]) -> Sums:
    """All orders as one: each sum is that of the rows, which are rounded already."""
    known = list(rows)
    runs = [run for _, run in known]
    return Sums(
        orders=len(runs), billed=sum(run.billed for run in runs), parts=sum(run.parts for run in runs),
        spoiled=sum(run.spoiled for run in runs), post=sum(run.post for run in runs),
        fees=sum(run.fees for run in runs), losses=sum(run.losses for run in runs),
        cover=sum(run.cover for run in runs), cash=sum(run.cash for run in runs),
        minutes=sum(run.minutes for run in runs), bench=sum(run.bench for run in runs),
        full=sum(run.full for run in runs), waited=sum(run.waited for run in runs),
        at_once=sum(run.at_once for run in runs),
        mended=sum(run.yes for line, run in known if line.mended and not run.stopped),
    )  # fmt: skip


def half_up(value: Part) -> int:
    """A whole number of smallest units, rounded half up, away from nought: as `intake.money.quantize` does."""
    if isinstance(value, int):
        return value
    whole = (2 * abs(value.numerator) + value.denominator) // (2 * value.denominator)
    return whole if value >= 0 else -whole


def repriced(lines: Sequence[Priced], rules: Rules, remedy: str) -> tuple[int, int]:
    """By how much the labour of `lines` changes, without tax, and its tax; each line rounded, then the floor."""
    held = rules.labour if rules.labour is not None and rules.remedy in ("", remedy) else Fraction(1)
    net = tax = told = 0
    for old, rate in lines:
        new = half_up(old * held)
        told, net, tax = told + new, net + new - old, tax + _tax(new, rate) - _tax(old, rate)
    if rules.floor is not None and 0 < told < rules.floor:
        net, tax = net + rules.floor - told, tax + _tax(rules.floor - told, lines[0][1])
    return net, tax


def share_of_yes(line: Line, more: More, rules: Rules) -> Part:
    """Which share of this agreed order would still be agreed to: 1 at no more than it cost, or within its own limit."""
    more_asked = sum(repriced(more.asked_labour, rules, line.remedy))
    if not rules.fewer or more.asked <= 0 or more_asked <= 0 or _within_own_limit(more, more_asked):
        return 1
    rise = Fraction(more_asked, more.asked)
    share = max(Fraction(0), 1 - rules.fewer / 100 * rise / TEN_PERCENT)
    return 1 if share == 1 else share


def _within_own_limit(more: More, more_asked: int) -> bool:
    return bool(more.answers) and more.answers[-1].by_limit and more.asked + more_asked <= more.limit


def _tax(net: int, rate: int) -> int:
    return half_up(Fraction(net * rate, PERCENT)) if rate else 0


def _stopped(line: Line, rules: Rules) -> bool:
    """A comeback is looked at to its end: what is owed under warranty is done."""
    return rules.stop_after is not None and line.look > rules.stop_after and not line.comeback_of


def _stop(run: Run, line: Line, more: More, minutes: int, card: int) -> Run:
    ended = _unmended(run, line, more, card)._replace(look=minutes, waited=0, at_once=0, stopped=True, yes=0)
    return ended._replace(bench=_bench(line, ended.minutes))


def _unmended(run: Run, line: Line, more: More, card: int) -> Run:
    """Sent back as it came: the post is billed, no part is used, nothing is repaired or tested."""
    billed = sum(net for net, _ in more.post)
    gross = billed + sum(_tax(net, rate) for net, rate in more.post)
    ended = run._replace(
        billed=billed, parts=0, spoiled=0, fees=_fees(line, more, gross - more.gross, card), repair=0, test=0
    )
    return ended._replace(bench=_bench(line, ended.minutes))


def _priced(run: Run, line: Line, more: More, rules: Rules, card: int) -> Run:
    """At another price, and where fewer say yes: so much of the order as still does, the rest sent back as it came."""
    net, tax = repriced(more.labour, rules, line.remedy)
    paid = run._replace(billed=line.billed + net, fees=_fees(line, more, net + tax, card))
    share = share_of_yes(line, more, rules)
    return paid if share == 1 else _mixed(paid, _unmended(run, line, more, card), share)


def _mixed(paid: Run, back: Run, share: Part) -> Run:
    def money(yes: int, no: int) -> int:
        return half_up(share * yes + (1 - share) * no)

    return paid._replace(
        billed=money(paid.billed, back.billed), parts=money(paid.parts, back.parts),
        spoiled=money(paid.spoiled, back.spoiled), fees=money(paid.fees, back.fees),
        bench=money(paid.bench, back.bench), repair=share * paid.repair, test=share * paid.test, yes=share,
    )  # fmt: skip


def _fees(line: Line, more: More, gross: int, card: int) -> int:
    """Payment fees when `gross` more, or less, is paid with tax: where there was a fee, the card's share of it moves."""
    if not line.fees or not gross:
        return line.fees
    if more.gross + gross <= 0:
        return 0
    return max(0, half_up(line.fees + Fraction(card * gross, PERCENT)))


def _bench(line: Line, minutes: Part) -> int:
    """What its minutes cost, at what one of them cost this order."""
    if minutes == line.minutes:
        return line.bench
    return half_up(Fraction(line.bench) * minutes / line.minutes) if line.minutes else 0


def _covered(run: Run, line: Line, more: More, rules: Rules) -> Run:
    if rules.cover_above is None or not more.posted or line.declared <= rules.cover_above:
        return run
    part = line.declared - rules.cover_above
    cost = half_up(rules.cover_percent * part / 100) + rules.cover_fixed
    return run._replace(cover=cost, losses=run.losses - min(more.lost, part, max(0, run.losses)))


def _timed(run: Run, line: Line, more: More, rules: Rules) -> Run:
    """Within a standing limit work starts at once: the wait for that answer is gone."""
    if rules.limit is None or not more.answers:
        return run
    waits = [answer for answer in _answers(line, more, rules) if not answer[2] and answer[0] > rules.limit]
    return run._replace(waited=sum(seconds for _, seconds, _ in waits), at_once=int(not waits))


def _answers(line: Line, more: More, rules: Rules) -> list[tuple[int, int, bool]]:
    """The quotes agreed to at the totals they would have had: the last one is priced anew."""
    known = [(answer.total, answer.seconds, answer.by_limit) for answer in more.answers]
    if rules.prices:
        _, seconds, by_limit = known[-1]
        known[-1] = (more.asked + sum(repriced(more.asked_labour, rules, line.remedy)), seconds, by_limit)
    return known


def _asked_again(line: Line, more: More, rules: Rules) -> bool:
    """Whether its own limit started it, and would no longer."""
    if not rules.prices or not more.answers or not more.answers[-1].by_limit:
        return False
    total, _, _ = _answers(line, more, rules)[-1]
    return total > more.asked and total > max(more.limit, rules.limit or 0)


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
