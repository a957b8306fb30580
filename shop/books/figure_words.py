"""What figures and the cells of tables say on a page, in the shop's words. Pure."""

import datetime as dt
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from intake import wording
from shop.books.figures import FEW, Figure, Value
from shop.books.lines import House

HOUR = 3600
DAY = 86_400
NOTHING = "nothing yet"
UNKNOWN = "not known yet"
COUNTED = {"orders": ("order", "orders"), "boards": ("board", "boards")}
MONEY = frozenset({"money", "money an hour"})
SPANS = {"days": "days", "days a week": "days a week", "hours": "hours", "per 100": "in 100"}


@dataclass(frozen=True)
class Say:
    """Under which letterhead values are said."""

    house: House
    locale: str = wording.PLAIN

    def money(self, amount: int | float) -> str:
        """Smallest units as money; a fraction of one is rounded half up."""
        return wording.money(whole(amount, self.house), self.house.currency, self.locale)

    def value(self, value: Value, unit: str) -> str:
        """A figure's value with its unit: '$4.20', '4.2 days', '78 %', '0.33'; NOTHING for None."""
        if value is None:
            return NOTHING
        if unit in MONEY:
            return self.money(value) + (" an hour" if unit == "money an hour" else "")
        if unit == "share":
            return percent(value)
        if unit == "minutes":
            return wording.minutes(value)
        if unit in COUNTED:
            return counted(value, *COUNTED[unit])
        if unit == "hours late":
            return late(value)
        return f"{places(value, 1)} {SPANS[unit]}" if unit in SPANS else places(value, 2)

    def rests(self, figure: Figure) -> str:
        """On how many it rests: '7 of 9 quotes', '31 orders'."""
        if figure.k is None:
            return wording.count(figure.n, *words_for(figure.counts))
        return f"{figure.k} of {wording.count(figure.n, *words_for(figure.counts))}"

    def shown(self, figure: Figure) -> str:
        """The value as it stands in large: a share of few is said as a count, for it is no percentage to lean on. Where orders
        are there and say nothing yet, UNKNOWN."""
        if figure.value is None and figure.n:
            return UNKNOWN
        if figure.unit == "share" and figure.k is not None and figure.few and figure.value is not None:
            return f"{figure.k} of {figure.n}"
        return self.value(figure.value, figure.unit)

    def limits(self, figure: Figure) -> str:
        """'78 %, likely between 45 % and 94 % (Wilson, 95 %)'; empty without an interval."""
        if figure.low is None or figure.value is None:
            return ""
        first = f"{percent(figure.value)}, l" if figure.unit == "share" and figure.few else "L"
        low = self.value(figure.low, figure.unit)
        high = "an open end" if figure.high is None else self.value(figure.high, figure.unit)
        return f"{first}ikely between {low} and {high}" + (
            f" ({figure.interval})." if figure.interval else "."
        )

    def before(self, figure: Figure) -> str:
        """Which way it went, in words: 'Up from 4.2 days (31 orders)'; empty where nothing was compared."""
        if figure.before_n is None and figure.before is None:
            return ""
        if figure.before is None or (figure.unit in MONEY and figure.before_n == 0):
            return "Nothing before."
        was = self.value(figure.before, figure.unit)
        if figure.unit in COUNTED:
            return f"{self._way(figure, was)}."
        n = wording.count(figure.before_n or 0, *words_for(figure.counts))
        few = ", few" if (figure.before_n or 0) < FEW and not figure.always else ""
        return f"{self._way(figure, was)} ({n}{few})."

    def _way(self, figure: Figure, was: str) -> str:
        if figure.value is None or figure.before is None:
            return f"Was {was}"
        if self.value(figure.value, figure.unit) == was:
            return f"As before, {was}"
        if figure.unit == "hours late":
            return f"Was {was}"
        return f"{'Up' if figure.value > figure.before else 'Down'} from {was}"

    def cell(self, cell: int | float | str | None, kind: str) -> str:
        """A cell of a table. The head names the unit, so that the cell is short: '4.2', '78 %', '27 Nov 2026'."""
        if cell is None or cell == "":
            return ""
        if isinstance(cell, str):
            return cell
        if kind in MONEY:
            return self.money(cell)
        if kind == "share":
            return percent(cell)
        if kind == "day":
            return dt.date.fromordinal(int(cell)).strftime("%-d %b %Y") if cell else ""
        if kind == "moment":
            return f"{dt.datetime.fromtimestamp(cell, self.house.zone):%-d %b %Y, %H:%M}" if cell else ""
        if kind == "seconds":
            return span(int(cell))
        if kind in ("ratio", "kappa"):
            return places(cell, 2)
        if kind in ("days", "hours", "per 100", "days a week"):
            return places(cell, 1)
        return str(cell) if isinstance(cell, int) else places(cell, 1)


def late(hours: int | float) -> str:
    """'8.0 hours early', '2.5 hours late', 'on time'."""
    said = places(abs(hours), 1)
    return f"{said} hours {'late' if hours > 0 else 'early'}" if Decimal(said) else "on time"


def month_said(month: str) -> str:
    """'Sep 2026' of '2026-09'; anything else as it is."""
    year, _, number = month.partition("-")
    if not (year.isdecimal() and len(year) == 4 and number.isdecimal() and 1 <= int(number) <= 12):
        return month
    return f"{dt.date(int(year), int(number), 1):%b %Y}"


def whole(amount: int | float, house: House) -> Decimal:
    """Smallest units as an amount in the currency itself, rounded half up to its digits."""
    units = Decimal(str(amount)).quantize(Decimal(1), rounding=ROUND_HALF_UP)
    return units.scaleb(-house.digits) + Decimal(0)


def percent(share: int | float) -> str:
    """'78 %'; a little of something is not nothing, nor nearly all of it all."""
    rounded = Decimal(str(share * 100)).quantize(Decimal(1), rounding=ROUND_HALF_UP)
    if share and abs(share) * 100 < 1:
        return f"{places(share * 100, 1)} %"
    return "over 99 %" if rounded == 100 and share < 1 else f"{rounded} %"


def places(value: int | float, digits: int) -> str:
    """A number with that many digits after the point, rounded half up; never '-0.0'."""
    exact = Decimal(str(value)).quantize(Decimal(1).scaleb(-digits), rounding=ROUND_HALF_UP)
    return str(exact + Decimal(0)) if exact else str(abs(exact))


def counted(value: int | float, one: str, many: str) -> str:
    """'1 order', '12 orders', '4.3 orders'."""
    if isinstance(value, int) or value.is_integer():
        return wording.count(int(value), one, many)
    return f"{places(value, 1)} {many}"


def words_for(one: str) -> tuple[str, str]:
    """One and many of what is counted: 'order' and 'orders', 'quote decided' and 'quotes decided'."""
    first, blank, rest = one.partition(" ")
    many = f"{first[:-1]}ies" if first.endswith("y") and first[-2:-1] not in "aeiou" else f"{first}s"
    return one, f"{many}{blank}{rest}"


def span(seconds: int) -> str:
    """A length of time: '3 min', '5.2 h', '4.2 days'; empty for never (-1)."""
    if seconds < 0:
        return ""
    if seconds < HOUR:
        return wording.minutes(seconds / 60)
    return f"{places(seconds / HOUR, 1)} h" if seconds < DAY else f"{places(seconds / DAY, 1)} days"
