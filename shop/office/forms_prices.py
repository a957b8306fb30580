"""Forms of a remedy and of a test list."""

from decimal import Decimal
from typing import Any

from django import forms

from quotes.models import Remedy
from shop.office.editing import Number, VersionedForm, Words
from shop.office.forms_house import Lines

BLANK_ROWS = 3
MOST_ROWS = 60


class RemedyForm(forms.Form):
    """A labour operation."""

    name = Words(label="Name at the bench", max_length=120)
    plain = Words(label="As the customer reads it", max_length=200, required=False)
    fault_class = Words(label="Kind of fault it answers", max_length=60, required=False)
    minutes = forms.IntegerField(
        label="Standard minutes", min_value=1, max_value=6000,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off", "size": 6}),
        error_messages={"invalid": "Type whole minutes.", "required": "Type the usual minutes."},
    )  # fmt: skip
    flat_price = Number(
        label="Fixed price", decimal_places=3, required=False, help_text="Empty: minutes times the rate."
    )
    warranty_days = forms.IntegerField(
        label="Warranty days, if other than usual", min_value=0, max_value=3650, required=False,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off", "size": 6}),
    )  # fmt: skip
    steps = Lines(
        label="Steps",
        required=False,
        widget=forms.Textarea(attrs={"rows": 8}),
        help_text="What the bench ticks, one a line.",
    )
    active = forms.BooleanField(label="Offer it in quotes", required=False)

    def __init__(self, data: Any = None, *, remedy: Remedy | None) -> None:
        row = remedy or Remedy()
        initial = {name: getattr(row, name) for name in self.base_fields}
        if isinstance(row.flat_price, Decimal):
            initial["flat_price"] = row.flat_price.quantize(Decimal("0.01"))
        super().__init__(data, initial=initial)


class TestListForm(VersionedForm):
    """Rows of a test list: what is tested, and whether it must pass. An emptied row goes."""

    __test__ = False

    soak_minutes = forms.IntegerField(
        label="Minutes it must run at the end", min_value=0, max_value=1440,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off", "size": 6}),
    )  # fmt: skip

    def __init__(self, data: Any = None, *, version: int, rows: list[dict[str, Any]], soak: int) -> None:
        self.old = rows
        self.row_count = min(len(rows) + BLANK_ROWS, MOST_ROWS)
        initial: dict[str, Any] = {"seen": version, "soak_minutes": soak}
        for number, row in enumerate(rows):
            initial |= {f"text_{number}": row["text"], f"must_{number}": row.get("must", True)}
        super().__init__(data, initial=initial)
        for number in range(self.row_count):
            self.fields[f"text_{number}"] = Words(label=f"Row {number + 1}", max_length=200, required=False)
            self.fields[f"must_{number}"] = forms.BooleanField(label="must pass", required=False)

    def row_fields(self) -> list[tuple[Any, Any]]:
        return [(self[f"text_{number}"], self[f"must_{number}"]) for number in range(self.row_count)]

    def rows(self) -> list[dict[str, Any]]:
        """What else an old row carried stays with it."""
        given, found = self.cleaned_data, []
        for number in range(self.row_count):
            text = given.get(f"text_{number}", "").strip()
            if text:
                old = self.old[number] if number < len(self.old) else {}
                found.append({**old, "text": text, "must": given.get(f"must_{number}", False)})
        return found
