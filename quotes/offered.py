"""The choices of a quote, read back from the frozen record of what was shown.

Pure: plain values. Records from before there were several choices lack keys; they read as one repair with its lines,
and back and recycle beside it.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

WORK = ("mend", "data", "clean")


@dataclass(frozen=True)
class ShownLine:
    """A line as it stood on the page; `amount` with tax where the shop's prices hold it. `extra` is "" where it always belongs."""

    kind: str
    text: str
    quantity: Decimal
    amount: Decimal
    extra: str = ""
    allowance: Decimal = Decimal(0)
    charge: Decimal = Decimal(0)


@dataclass(frozen=True)
class ShownTax:
    """Tax of one category and rate; `reason` says in words why there is none."""

    name: str
    rate: Decimal
    base: Decimal
    tax: Decimal
    category: str = ""
    reason: str = ""


@dataclass(frozen=True)
class Extra:
    """Something more that a choice can be had with; `amount` is what it adds, tax counted in."""

    key: str
    text: str
    amount: Decimal


@dataclass(frozen=True)
class Deposit:
    """What is asked for before a special part is ordered."""

    amount: Decimal
    words: str = ""


@dataclass(frozen=True)
class Change:
    """What is otherwise than on the revision before; amounts as Decimal, None where the line was not there."""

    kind: str
    text: str
    before: Decimal | None
    after: Decimal | None
    change: Decimal


@dataclass(frozen=True)
class Offered:
    """One choice. `total` is payable in all, None where it is told elsewhere (the first job of a second fault).

    `totals` has the exact total of each set of extras, its keys sorted and joined by a comma; "" is none of them.
    """

    choice: str
    label: str
    total: Decimal | None
    words: str = ""
    net: Decimal = Decimal(0)
    tax: Decimal = Decimal(0)
    lines: tuple[ShownLine, ...] = ()
    taxes: tuple[ShownTax, ...] = ()
    promise: date | None = None
    warranty_days: int = 0
    chance: str = ""
    data_words: str = ""
    fails_words: str = ""
    no_fix_total: Decimal | None = None
    totals: Mapping[str, Decimal] | None = None
    extras: tuple[Extra, ...] = ()

    @property
    def is_work(self) -> bool:
        """Whether the bench does something for it: mend, save the data, clean."""
        return self.choice in WORK

    def total_with(self, taken: Iterable[str]) -> Decimal | None:
        """The exact total with these extras; None for a set that was not offered."""
        key = ",".join(sorted(taken))
        if not key:
            return self.total
        return None if self.totals is None else self.totals.get(key)

    def taken(self, keys: Iterable[str]) -> list[tuple[Extra, Decimal]]:
        """The extras of these keys, each with what it adds to those before it: together exactly the total's difference."""
        wanted, rows = set(keys), []
        so_far: list[str] = []
        for extra in sorted(self.extras, key=lambda row: row.key):
            if extra.key in wanted:
                before = self.total_with(so_far)
                so_far.append(extra.key)
                after = self.total_with(so_far)
                both = before is not None and after is not None
                rows.append((extra, after - before if both else extra.amount))  # type: ignore[operator]  # both are there
        return rows


def offered(shown: Mapping[str, Any]) -> tuple[Offered, ...]:
    """Every choice of the record, in its order."""
    return tuple(_choice(row, shown) for row in shown["choices"])


def offered_as(shown: Mapping[str, Any], name: str) -> Offered | None:
    """The choice of that name, or None."""
    return next((row for row in offered(shown) if row.choice == name), None)


def deposit_of(shown: Mapping[str, Any]) -> Deposit | None:
    """The deposit that was shown, or None."""
    row = shown.get("deposit")
    return Deposit(Decimal(row["amount"]), row.get("words", "")) if row else None


def changes_of(shown: Mapping[str, Any]) -> tuple[Change, ...]:
    """What differs from the revision before; lines that stayed the same are left out."""
    return tuple(
        Change(row["kind"], row["text"], _sum(row["before"]), _sum(row["after"]), Decimal(row["change"]))
        for row in shown.get("changes") or ()
        if row["kind"] != "same"
    )


def _choice(row: Mapping[str, Any], shown: Mapping[str, Any]) -> Offered:
    mend = row["choice"] == "mend"
    given = {**_as_one_repair(shown), **row} if mend else row
    return Offered(
        choice=row["choice"],
        label=row["label"],
        total=_sum(row["total"]),
        words=row.get("words", ""),
        net=_sum(given.get("net")) or Decimal(0),
        tax=_sum(given.get("tax")) or Decimal(0),
        lines=tuple(_line(line) for line in given.get("lines") or ()),
        taxes=tuple(_tax(tax) for tax in given.get("taxes") or ()),
        promise=date.fromisoformat(given["promise"]) if given.get("promise") else None,
        warranty_days=int(given.get("warranty_days") or 0),
        chance=given.get("chance", ""),
        data_words=given.get("data_words", ""),
        fails_words=given.get("fails_words", ""),
        no_fix_total=_sum(given.get("no_fix_total")),
        totals={key: Decimal(total) for key, total in (given.get("totals") or {}).items()},
        extras=tuple(
            Extra(extra["key"], extra["text"], Decimal(extra["amounts"][row["choice"]]))
            for extra in shown.get("extras") or ()
            if row["choice"] in extra["choices"]
        ),
    )


def _as_one_repair(shown: Mapping[str, Any]) -> dict[str, Any]:
    """What an older record says once, for its only repair."""
    return {
        **{key: shown.get(key) for key in ("net", "tax", "lines", "taxes", "promise", "warranty_days")},
        "no_fix_total": shown["no_fix"]["total"],
        "data_words": "We work to keep it and cannot promise it.",
    }


def _line(row: Mapping[str, Any]) -> ShownLine:
    return ShownLine(
        row["kind"],
        row["text"],
        Decimal(row["quantity"]),
        Decimal(row["amount"]),
        row.get("extra", ""),
        Decimal(row.get("allowance") or 0),
        Decimal(row.get("charge") or 0),
    )


def _tax(row: Mapping[str, Any]) -> ShownTax:
    return ShownTax(
        row["name"],
        Decimal(row["rate"]),
        Decimal(row["base"]),
        Decimal(row["tax"]),
        row.get("category", ""),
        row.get("reason", ""),
    )


def _sum(value: Any) -> Decimal | None:
    return None if value in (None, "") else Decimal(value)
