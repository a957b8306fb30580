"""Forms of the bank's pages: the file, its columns, what a movement is."""

from decimal import Decimal
from typing import Any

from django import forms

from intake import codes
from intake.money import MoneyError, parse_amount
from quotes.bank.csv_columns import MEANINGS, Layout
from quotes.bank.csv_words import COMMA, DAY_FIRST, MONTH_FIRST, POINT, YEAR_FIRST
from quotes.bank.matching import Share
from quotes.bank.movements import LARGEST_FILE
from shop.office.editing import Words

DECIMALS = [("", "As the file shows it"), (POINT, "1,234.50"), (COMMA, "1.234,50")]
ORDERS = [
    ("", "As the file shows it"), (DAY_FIRST, "Day first: 31/12/2026"), (MONTH_FIRST, "Month first: 12/31/2026"),
    (YEAR_FIRST, "Year first: 2026-12-31"),
]  # fmt: skip
NONE = -1


class FileForm(forms.Form):
    """The statement as the bank gave it."""

    file = forms.FileField(
        label="The bank's file",
        help_text="camt.053 (XML) or CSV. First you see what is in it; nothing is booked by this.",
        error_messages={
            "required": "Choose the file first.",
            "empty": "The file is empty.",
            "invalid": "Choose the file first.",
        },
    )

    def clean_file(self) -> bytes:
        """The bytes."""
        sent = self.cleaned_data["file"]
        if sent.size > LARGEST_FILE:
            raise forms.ValidationError(
                "This file is over 10 MB. A statement of one month is far smaller; nothing was taken in."
            )
        self.file_name = str(sent.name)
        return bytes(sent.read())


class HeldForm(forms.Form):
    """A file that was looked at, with what a person said of its columns."""

    digest = forms.RegexField("^[0-9a-f]{64}$", widget=forms.HiddenInput)
    file_name = forms.CharField(max_length=200, required=False, widget=forms.HiddenInput)
    decimal = forms.ChoiceField(label="How amounts are written", choices=DECIMALS, required=False)
    order = forms.ChoiceField(label="How days are written", choices=ORDERS, required=False)

    def __init__(self, data: Any = None, *, header: list[str] | None = None, **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        for meaning, words in MEANINGS.items():
            field = forms.TypedChoiceField(
                label=words,
                choices=[(NONE, "Not in the file"), *((place, name[:60] or f"Column {place + 1}") for place, name in enumerate(header or []))],
                coerce=int, empty_value=NONE, required=False,
            ) if header is not None else forms.IntegerField(required=False, min_value=NONE, max_value=500)  # fmt: skip
            self.fields[f"column_{meaning}"] = field
        self.order_fields([name for name in self.fields if name.startswith("column_")])

    def layout(self) -> Layout | None:
        """What was said; None where nothing was."""
        given = self.cleaned_data
        columns = {
            meaning: place
            for meaning in MEANINGS
            if (place := given.get(f"column_{meaning}")) is not None and place > NONE
        }
        layout = Layout(columns, given.get("decimal", ""), given.get("order", ""))
        return layout if columns or layout.decimal or layout.order else None


def started_from(layout: Layout) -> dict[str, Any]:
    """Initial values of the form from what is known of the file."""
    columns = {f"column_{meaning}": layout.columns.get(meaning, NONE) for meaning in MEANINGS}
    return {"decimal": layout.decimal, "order": layout.order, **columns}


class ShareForm(forms.Form):
    """A proposal as its button sends it: each share as 'code|amount|purpose', and the reason that was shown."""

    why = forms.CharField(max_length=200)

    def shares(self) -> list[Share]:
        """Raises ValidationError for what no button of ours sends."""
        given = self.data.getlist("share")
        try:
            return [_share(text) for text in given[:50]]
        except (ValueError, ArithmeticError):
            raise forms.ValidationError("Please open the page again and press once more.") from None


def _share(text: str) -> Share:
    order, amount, purpose = text.split("|")
    sum_ = Decimal(amount)
    if not sum_.is_finite() or purpose not in ("bill", "deposit"):
        raise ValueError("no share")
    return Share(order, sum_, purpose)


class ByHandForm(forms.Form):
    """Which orders it pays, one a line."""

    orders = forms.CharField(
        label="Order code and amount",
        widget=forms.Textarea(attrs={"rows": 2, "spellcheck": "false", "autocapitalize": "characters"}),
        max_length=2000,
        help_text="One a line, such as K7M4-3TX9 120.50. One alone needs no amount.",
        error_messages={"required": "Type the code of the order it pays."},
    )
    purpose = forms.ChoiceField(
        label="For",
        choices=[("bill", "The bill"), ("deposit", "A deposit")],
        widget=forms.RadioSelect,
        initial="bill",
    )

    def __init__(self, data: Any = None, *, whole: Decimal, currency: str, **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        self.whole, self.currency = whole, currency

    def clean_orders(self) -> list[tuple[str, Decimal]]:
        lines = [line.split(maxsplit=1) for line in self.cleaned_data["orders"].splitlines() if line.strip()]
        return [self._line(line, alone=len(lines) == 1) for line in lines]

    def _line(self, line: list[str], *, alone: bool) -> tuple[str, Decimal]:
        if problem := codes.explain(line[0]):
            raise forms.ValidationError(f"{line[0][:20]}: {problem}")
        code = codes.normalise(line[0]) or line[0]
        if len(line) == 1:
            if not alone:
                raise forms.ValidationError(f"{code}: say how much of it.")
            return code, self.whole
        try:
            return code, parse_amount(line[1], self.currency)
        except MoneyError as fault:
            raise forms.ValidationError(f"{code}: {fault}") from fault

    def shares(self) -> list[Share]:
        """What was typed, for the whole purpose alike."""
        return [Share(code, sum_, self.cleaned_data["purpose"]) for code, sum_ in self.cleaned_data["orders"]]


class WhyForm(forms.Form):
    """A word or two."""

    why = Words(
        label="What it is",
        max_length=200,
        error_messages={"required": "Say what it is, in a word or two."},
    )
