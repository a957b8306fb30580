"""The form of station 70: every row of the test sheet, and how it ends."""

import json
from dataclasses import dataclass
from typing import Any

from django import forms

from intake.stations import Outcome
from shop.models import TestRow
from shop.traveller.forms.diagnosis import short, text

OUTCOMES = [
    (str(Outcome.FIXED), "Fixed"),
    (str(Outcome.PART_FIXED), "Part fixed"),
    (str(Outcome.DATA_ONLY), "Data only"),
]


def was_of(row: TestRow) -> str:
    """What the page shows of a row before a hand touches it."""
    return json.dumps([row.result, row.reading, row.reason])


@dataclass(frozen=True)
class Marked:
    """What stands in the form for one row."""

    row: TestRow
    result: str
    reading: str
    reason: str


class SheetForm(forms.Form):
    """Rows by their number: `result-3`, `reading-3`, `reason-3`; `was-3` is what the page showed before it was touched.

    A row that the person did not touch is never written, so that an old page cannot undo another's work.
    """

    outcome = forms.ChoiceField(
        label="It is", choices=OUTCOMES, required=False, initial=OUTCOMES[0][0], widget=forms.RadioSelect
    )
    note = text("What failed", 400, widget=forms.Textarea(attrs={"rows": 2}))
    words = text("Why it could not be mended, in plain words", 2000, widget=forms.Textarea(attrs={"rows": 4}))

    def __init__(self, *args: Any, rows: list[TestRow], **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": "test_%s", **kwargs})
        self.rows = rows
        for row in rows:
            self.fields[f"result-{row.number}"] = forms.ChoiceField(
                label=row.text,
                choices=TestRow.Result.choices,
                required=False,
                initial=row.result,
                widget=forms.RadioSelect,
                error_messages={"invalid_choice": "Pick one of the results."},
            )
            judged = {"data-reading": row.number} if row.mode else {}
            self.fields[f"reading-{row.number}"] = text(
                "Reading", 60, initial=row.reading, widget=short(size=12, **judged)
            )
            self.fields[f"reason-{row.number}"] = text(
                "Why", 200, initial=row.reason, widget=forms.TextInput(attrs={"size": 24})
            )

    def drawn(self) -> list[dict[str, Any]]:
        """For the template: row, its three bound fields, what it was, and whether it is wrong."""
        return [
            {
                "row": row,
                "result": self[f"result-{row.number}"],
                "reading": self[f"reading-{row.number}"],
                "reason": self[f"reason-{row.number}"],
                "was": was_of(row),
            }
            for row in self.rows
        ]

    def touched(self) -> list[Marked]:
        """The rows that were changed on this page and can be read. Call after is_valid()."""
        return [marked for marked in map(self._marked, self.rows) if marked is not None]

    def _marked(self, row: TestRow) -> Marked | None:
        names = [f"{what}-{row.number}" for what in ("result", "reading", "reason")]
        if any(name in self.errors for name in names):
            return None
        now = [str(self.cleaned_data.get(name) or "") for name in names]
        return None if now == self._was(row) else Marked(row, now[0] or row.result, now[1], now[2])

    def _was(self, row: TestRow) -> list[str]:
        try:
            was = json.loads(self.data.get(f"was-{row.number}", ""))
        except ValueError:
            return [row.result, row.reading, row.reason]
        return [str(one) for one in was] if isinstance(was, list) else []
