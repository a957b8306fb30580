"""The form of a test list: its rows as a table, and what may be done to them before anything is saved."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django import forms

from quotes.reading_text import BLACK, RED, ReadingError
from shop.bench.test_limits import read_value
from shop.bench.test_lists import InForce
from shop.office.editing import VersionedForm, Words

BLANK_ROWS = 3
MOST_ROWS = 60
MODES = [
    ("", "not measured"),
    ("ohms", "ohms"),
    ("diode", "diode, red on ground"),
    ("diode-black", "diode, black on ground"),
    ("volts", "volts"),
    ("amps", "amps"),
    ("hertz", "hertz"),
    ("celsius", "degrees Celsius"),
]
FIELDS = ("text", "must", "unlocked", "mode", "low", "high", "soak")
MOVES = {"up": -1, "down": 1}


def _short(label: str, **more: Any) -> forms.CharField:
    widget = forms.TextInput(attrs={"autocomplete": "off", "spellcheck": "false", "size": 8})
    return Words(label=label, max_length=24, required=False, widget=widget, **more)


def _minutes(label: str, *, required: bool) -> forms.IntegerField:
    wrong = {"invalid": "Type a whole number of minutes.", "required": "Type a whole number; 0 for none."}
    return forms.IntegerField(
        label=label, min_value=0, max_value=1440, required=required, error_messages=wrong,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off", "size": 6}),
    )  # fmt: skip


class TestListForm(VersionedForm):
    """Rows of a test list. An emptied row goes; a row can be moved by its buttons before anything is saved."""

    __test__ = False

    soak_minutes = _minutes("Minutes it must run at the end", required=True)
    second_eyes = forms.BooleanField(label="Another person looks over it before it is signed", required=False)

    def __init__(self, data: Any = None, *, now: InForce) -> None:
        self.row_count = _rows_in(data) if data else min(len(now.rows) + BLANK_ROWS, MOST_ROWS)
        initial: dict[str, Any] = {
            "seen": now.version,
            "soak_minutes": now.soak_minutes,
            "second_eyes": now.second_eyes,
        }
        for number, row in enumerate(now.rows):
            initial |= {f"{name}_{number}": value for name, value in _typed(row).items()}
        super().__init__(data, initial=initial)
        for number in range(self.row_count):
            self._add(number)

    def _add(self, number: int) -> None:
        self.fields |= {
            f"text_{number}": Words(label=f"Row {number + 1}", max_length=200, required=False),
            f"must_{number}": forms.BooleanField(label="must pass", required=False),
            f"unlocked_{number}": forms.BooleanField(label="needs the code", required=False),
            f"mode_{number}": forms.ChoiceField(label="Measured in", choices=MODES, required=False),
            f"low_{number}": _short("At least"),
            f"high_{number}": _short("At most"),
            f"soak_{number}": _minutes("Soak, minutes", required=False),
        }

    def row_fields(self) -> list[dict[str, Any]]:
        """For the template: the bound fields of each row by their names, and whether more than the text is filled."""
        found = []
        for number in range(self.row_count):
            row: dict[str, Any] = {name: self[f"{name}_{number}"] for name in FIELDS}
            row["more"] = any(
                row[name].value() or row[name].errors for name in ("mode", "low", "high", "soak")
            )
            found.append(row)
        return found

    def clean(self) -> dict[str, Any]:
        given = super().clean() or {}
        for number in range(self.row_count):
            self._clean_limits(number, given)
        return given

    def _clean_limits(self, number: int, given: dict[str, Any]) -> None:
        mode, polarity = mode_of(given.get(f"mode_{number}", ""))
        limits: dict[str, Decimal | None] = {}
        for name in ("low", "high"):
            typed = given.get(f"{name}_{number}", "").strip()
            if typed and not mode:
                self.add_error(f"mode_{number}", "Say how it is measured, or clear the limits.")
            elif typed:
                limits[name] = self._limit(f"{name}_{number}", typed, mode, polarity)
        low, high = limits.get("low"), limits.get("high")
        if low is not None and high is not None and low > high:
            self.add_error(f"low_{number}", "The low limit is above the high one.")

    def _limit(self, field: str, typed: str, mode: str, polarity: str) -> Decimal | None:
        try:
            read = read_value(typed, mode=mode, polarity=polarity)
        except ReadingError:
            read = None
        if read is None or read.value is None:
            self.add_error(
                field, f"{typed[:20]} is not a limit in {mode}. Type a number such as 0.45 or 4k7."
            )
            return None
        self.cleaned_data[field] = f"{read.value:f}"
        return read.value

    def rows(self) -> list[dict[str, Any]]:
        """The rows as the list keeps them: what says nothing is left out."""
        return [row for number in range(self.row_count) if (row := self._row(number)) is not None]

    def _row(self, number: int) -> dict[str, Any] | None:
        given = {name: self.cleaned_data.get(f"{name}_{number}") for name in FIELDS}
        text = (given["text"] or "").strip()
        if not text:
            return None
        mode, polarity = mode_of(given["mode"] or "")
        kept = {
            "unlocked": given["unlocked"],
            "mode": mode,
            "polarity": BLACK if polarity == BLACK else "",
            "low": given["low"],
            "high": given["high"],
            "soak": given["soak"],
        }
        return {"text": text, "must": bool(given["must"]), **{key: one for key, one in kept.items() if one}}


def mode_of(choice: str) -> tuple[str, str]:
    """Mode and polarity of a choice on the form."""
    if choice == "diode-black":
        return "diode", BLACK
    return choice, RED if choice == "diode" else ""


def _typed(row: Mapping[str, Any]) -> dict[str, Any]:
    black = row.get("mode") == "diode" and row.get("polarity") == BLACK
    return {name: row.get(name, "") for name in FIELDS} | {
        "must": row.get("must", True),
        "mode": "diode-black" if black else row.get("mode", ""),
    }


def _rows_in(data: Mapping[str, Any]) -> int:
    """How many rows a post carries: one above the highest number."""
    numbers = [name.removeprefix("text_") for name in data if name.startswith("text_")]
    highest = max((int(one) for one in numbers if one.isdecimal() and len(one) < 4), default=-1)
    return min(highest + 1, MOST_ROWS)


def moved(data: Any, press: str) -> Any:
    """The posted fields after a press of "up-3", "down-3", "away-3" or "more": the same rows in another order."""
    given = data.copy()
    deed, _, text = press.partition("-")
    count = _rows_in(given)
    number = int(text) if text.isdecimal() and len(text) < 4 else -1
    if deed == "more" and count < MOST_ROWS:
        given[f"text_{count}"] = ""
    elif deed == "away" and 0 <= number < count:
        for name in FIELDS:
            given.pop(f"{name}_{number}", None)
        given[f"text_{number}"] = ""
    elif deed in MOVES and 0 <= number < count and 0 <= number + MOVES[deed] < count:
        _swap(given, number, number + MOVES[deed])
    return given


def _swap(given: Any, one: int, other: int) -> None:
    for name in FIELDS:
        first, second = given.get(f"{name}_{one}"), given.get(f"{name}_{other}")
        for field, value in ((f"{name}_{one}", second), (f"{name}_{other}", first)):
            given.pop(field, None)
            if value is not None:
                given[field] = value
