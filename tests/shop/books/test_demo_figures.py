"""The books over the demonstration's world: margins as its invented table says, to the cent."""

from datetime import UTC, datetime
from decimal import Decimal

from django.conf import LazySettings

from intake.models import Order
from shop.books import queries, reckoning
from shop.books.margin_maths import Waterfall, added_up
from shop.books.old_periods import period_of
from shop.books.sheet_facts import Gathered
from shop.demo import world

AS_OF = datetime(2026, 2, 27, 18, 0, tzinfo=UTC)
# Invented demo world: parts, post, card fees, other costs, minutes, cash margin, full margin.
TABLE = {
    "mara": ("0.09", "9.40", "3.56", "0", 87, "98.95", "38.05"),
    "tobin": ("0.03", "9.40", "4.05", "0", 59, "115.52", "74.22"),
    "ines": ("70.10", "14.20", "11.78", "0", 250, "279.92", "104.92"),
    "dov": ("6.20", "9.40", "7.31", "0", 197, "218.09", "80.19"),
    "lenka": ("7.40", "9.40", "0.65", "0", 137, "-5.45", "-101.35"),
    "petra": ("0", "9.40", "0.65", "140.00", 62, "-138.05", "-181.45"),
    "osei": ("0", "0", "0", "0", 41, "0", "-28.70"),
    "hollis": ("0", "0", "0", "0", 45, "0", "-31.50"),
    "yusra": ("0", "0", "0", "0", 38, "0", "-26.60"),
    "garrick": ("1.20", "9.40", "4.03", "15.00", 112, "98.37", "19.97"),
    "stallmere": ("5.80", "14.20", "0", "19.00", 269, "204.00", "15.70"),
    "wendeline": ("0.10", "9.40", "0", "0", 65, "-9.50", "-55.00"),
}


def _said(steps: Waterfall) -> tuple[object, ...]:
    return (
        steps.parts_cost, steps.post_cost, steps.payment_fees, steps.other_cost, steps.minutes,
        steps.cash_margin, steps.full_margin,
    )  # fmt: skip


def _meant(row: tuple[object, ...]) -> tuple[object, ...]:
    return tuple(cell if isinstance(cell, int) else Decimal(str(cell)) for cell in row)


def test_margins_of_the_world_equal_its_table(db: None, settings: LazySettings) -> None:
    settings.DEMO = True
    named = world.build(as_of=AS_OF)
    books = queries.gather(period_of("all", at=AS_OF))
    money = reckoning.margins(books)
    steps = {row.order.pk: row.steps for row in (*money.gone, *money.still)}
    batch = Order.objects.filter(customer__name="Stallmere Phones").values_list("pk", flat=True)
    sums = {
        name: added_up(
            [steps[pk] for pk in (batch if name == "stallmere" else [named[name].pk])], currency="USD"
        )
        for name in TABLE
    }
    assert {name: _said(sums[name]) for name in TABLE} == {name: _meant(row) for name, row in TABLE.items()}
    twelve = added_up(sums.values(), currency="USD")
    assert (twelve.billed_net, twelve.cash_margin, twelve.full_margin, twelve.minutes) == (
        Decimal("1253.00"), Decimal("861.85"), Decimal("-91.55"), 1362,
    )  # fmt: skip
    _promises_and_answers(books, {name: order.pk for name, order in named.items()})


def _promises_and_answers(books: Gathered, pk: dict[str, int]) -> None:
    kept, _ = reckoning.promises(books)
    assert pk["ines"] in kept.orders["missed"]
    assert {pk["mara"], pk["tobin"], pk["dov"], pk["garrick"], pk["lenka"]} <= set(kept.orders["kept"])
    said, _ = reckoning.answers(books)
    assert pk["yusra"] in said.orders["waiting"]
    assert pk["hollis"] in said.orders["lapsed"]
    assert {pk["petra"], pk["osei"]} <= set(said.orders["declined"])
    assert all(pk["wendeline"] not in orders for orders in said.orders.values())
    lost = [row.order.pk for row in reckoning.margins(books).lost]
    assert lost[:2] == [pk["petra"], pk["lenka"]]
