"""The lines of the test sheet on the page: each row with its fields, its soak, its limits and what is proposed."""

import datetime as dt
from typing import Any

from intake.models import Order
from quotes.reading_words import amount, should_be
from shop.bench.soaks import soak_of
from shop.bench.test_limits import OUT
from shop.bench.test_rows import limits_prefix, standing_after
from shop.models import TestRow, TestRun
from shop.traveller.forms.test import SheetForm


def rows_of(run: TestRun | None) -> list[TestRow]:
    if run is None:
        return []
    return list(run.rows.select_related("run__order", "before", "taken"))


def lines_of(form: SheetForm, order: Order, at: dt.datetime) -> list[dict[str, Any]]:
    """What the form draws, and beside it `soak`, `limits`, `bare` (the unit of a bare number), `said`, `needs_code`."""
    without = order.lock_wish == "test without"
    return [
        {
            **line,
            "soak": soak_of(line["row"], at) if line["row"].soak_minutes else None,
            "limits": limits_of(line["row"]),
            "bare": limits_of(line["row"]).rpartition(" ")[2] if limits_prefix(line["row"]) else "",
            "said": said_of(line["row"]),
            "needs_code": without and line["row"].unlocked,
        }
        for line in form.drawn()
    ]


def limits_of(row: TestRow) -> str:
    """Such as "under 2 mA"; "" where nothing is measured or no limit is known."""
    special = row.before.expected_special if row.before else ""
    return should_be(row.low, row.high, limits_prefix(row), row.unit) or special


def said_of(row: TestRow) -> str:
    """What is known of the row's reading, and what it proposes; "" where there is nothing to say."""
    if row.before_id:
        taken = standing_after(row)
        if taken is None:
            return "Type the value alone. It is written as the reading after."
        return f"After: {amount(taken.value, taken.special, taken.prefix, taken.unit)}, {taken.verdict}." + (
            "" if row.result else _proposes(taken.verdict)
        )
    if row.reading and row.mode and row.result:
        return f"{row.reading}: {row.get_result_display()}."
    return ""


def _proposes(verdict: str) -> str:
    if verdict in OUT:
        return " Proposed: not OK."
    return " Proposed: OK." if verdict == "ok" else ""
