"""Station 70: the proof. The rows of the test sheet, the pairs beside them, the customer's own symptom last."""

import datetime as dt
from collections.abc import Mapping
from typing import Any

from django.forms import Form

from intake import wording
from intake.models import Order, Person
from intake.stations import Outcome
from quotes import decisions
from quotes.agreed import agreed_no_fix_total
from quotes.explained import not_explained
from quotes.models import Decision
from shop.bench import second_eyes, testing
from shop.branches import at_station
from shop.models import TestRow, TestRun
from shop.traveller.bodies.readings import readings_after
from shop.traveller.bodies.test_lines import lines_of, rows_of, said_of
from shop.traveller.forms.test import SheetForm
from shop.traveller.minutes import minutes_here

FORM_ID = "test-sheet"
__all__ = ["blank_words", "context", "counted_words", "open_run", "rows_of", "said_of", "signed_context"]


def context(order: Order, *, person: Person, at: dt.datetime, forms: Mapping[str, Form]) -> dict[str, Any]:
    run = open_run(order)
    rows = rows_of(run)
    agreed = decisions.agreed_quote(order)
    only_data = agreed is not None and agreed.decision.choice == Decision.Choice.DATA
    ends = {"outcome": str(Outcome.DATA_ONLY)} if only_data else {}
    form = forms.get("test") or SheetForm(rows=rows, initial=ends)
    assert isinstance(form, SheetForm)
    return {
        "not_explained": not_explained(order),
        "run": run,
        "form": form,
        "rows": lines_of(form, order, at),
        "counted": counted_words(rows),
        "asks_for_lock": order.lock_wish == "test without",
        "code_rows": sum(row.unlocked and not row.result for row in rows),
        **_second_look(run, person),
        "second_form": forms.get("second_look"),
        "earlier": list(order.test_runs.filter(signed_at__isnull=False)),
        "no_fix_total": agreed_no_fix_total(agreed.decision) if agreed else None,
        **minutes_here(order, person, at, "test"),
        **readings_after(order, forms, person=person, at=at),
        **at_station.ends_at_bench(order, forms),
        "sign_form": FORM_ID,
        "sign_words": "Sign: passed",
        "sign_note": "then it goes to 80",
        "rail": {
            "keys": [
                {"words": "Photo", "key": "F8", "target": "after_photo-photos"},
                {"words": "Reading", "key": "F2", "target": "reading_line"},
            ],
            "sign": {"words": "Sign: passed", "form": FORM_ID},
        },
    }


def _second_look(run: TestRun | None, person: Person) -> dict[str, Any]:
    """Whether another person is asked for, who it was, and whether it may be this one."""
    if run is None or not second_eyes.wanted(run):
        return {"second_wanted": False}
    return {"second_wanted": True, "second_by": run.second_by, "may_be_second": run.by_id != person.pk}


def signed_context(order: Order, *, person: Person) -> dict[str, Any]:
    runs = list(
        order.test_runs.filter(signed_at__isnull=False)
        .prefetch_related("rows")
        .select_related("by", "second_by", "sheet")
    )
    return {"runs": [{"run": run, "odd": [row for row in run.rows.all() if not _plain(row)]} for run in runs]}


def open_run(order: Order) -> TestRun | None:
    return order.test_runs.filter(signed_at__isnull=True).select_related("sheet", "by", "second_by").first()


def _plain(row: TestRow) -> bool:
    """A row that passed with nothing to add; the others are said one by one."""
    return row.result == TestRow.Result.OK and not row.reading


def counted_words(rows: list[TestRow]) -> str:
    """'Blank: 20 of 22 rows; 1 row has not passed'."""
    left = sum(not row.result for row in rows)
    bad = sum(row.result == TestRow.Result.BAD for row in rows)
    said = f"Blank: {left} of {len(rows)} rows" if left else f"No row of {len(rows)} is blank"
    return f"{said}; {wording.count(bad, 'row has', 'rows have')} not passed" if bad else said


def blank_words(run: TestRun | None) -> str:
    """How many rows are still blank, in one sentence."""
    left = len(testing.blank_rows(run)) if run else 0
    if not left:
        return "No row is blank."
    return f"{left} {'row is' if left == 1 else 'rows are'} still blank."
