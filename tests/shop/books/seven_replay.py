"""Where the tour ends: the demonstration's orders run again with cover bought above 100 and a 60-minute stop rule.

By hand, cover at 1.5 % of the part above and 2.00 a parcel. Petra's phone is worth 240.00: 140.00 of it above 100.00, which
costs 2.10 + 2.00 = 4.10; the 140.00 comes back: -181.45 + 140.00 - 4.10 = -45.55. Lenka's board is stopped at 60 of 70
minutes of looking: 72 minutes at 0.70 are 50.40; billed 12.00 - post 9.40 - fee 0.65 = 1.95, less 50.40: -48.45 before her
parcel's cover. Dov's 62 minutes are stopped too, which the month's notes do not say: 12.00 is paid instead of 241.72, the
fee is 7.31 - 2.9 % of 229.72 = 0.65; 1.95 - 80 x 0.70 = -54.05 before his cover, where his order had left 80.19.
"""

from dataclasses import replace
from fractions import Fraction

from intake.models import Order
from shop.books.lines import Books
from shop.books.replay.queries import extra
from shop.books.replay.replay_maths import replayed, stops
from shop.books.replay.shapes import Both, Rules

ABOVE = 10_000
RULES = Rules(cover_above=ABOVE, cover_percent=Fraction(3, 2), cover_fixed=200, stop_after=60)


def check(books: Books, named: dict[str, Order]) -> None:
    """Any books that hold the lines of the twelve orders."""
    rest = extra(books)
    same = replayed(books, rest)
    assert len(same.orders) > 10
    for both in same.orders:
        assert both.would == both.was
        assert (both.was.billed, both.was.cash, both.was.full, both.was.spent) == (
            both.line.billed, both.line.cash, both.line.full, both.line.minutes * 60,
        )  # fmt: skip
    assert same.would == same.was
    ran = {both.line.order: both for both in replayed(books, replace(rest, rules=RULES)).orders}
    petra, lenka, dov = (ran[named[name].pk] for name in ("petra", "lenka", "dov"))
    assert (petra.was.full, petra.would.full, petra.would.losses, petra.would.cover) == (
        -18145,
        -4555,
        0,
        410,
    )
    assert (lenka.was.full, lenka.would.full + lenka.would.cover) == (-10135, -4845)
    assert (lenka.would.look, lenka.would.spent, lenka.would.stopped) == (60 * 60, 72 * 60, True)
    assert (dov.was.full, dov.would.full + dov.would.cover) == (8019, -5405)
    assert [both.would.cover for both in (lenka, dov)] == [_cover(both) for both in (lenka, dov)]
    (stop,) = stops(books, rest, [60])
    assert named["lenka"].pk in stop.unmended.orders
    assert named["dov"].pk in stop.mended.orders


def _cover(both: Both) -> int:
    above = both.line.declared - ABOVE
    return round(above * 0.015) + 200 if above > 0 else 0
