"""The form of the shop's own hours."""

import calendar
from typing import Any

from django import forms

from shop.books.hours import Hours, countries
from shop.books.hours_text import days_from, days_said, hours_from, hours_said
from shop.office.editing import VersionedForm, Words

DAYS = tuple(name.lower() for name in calendar.day_name)


class _HoursBox(Words):
    """Two times of a day, or empty for closed."""

    def clean(self, value: Any) -> Any:
        try:
            return hours_from(super().clean(value))
        except ValueError as reason:
            raise forms.ValidationError(str(reason)) from None


class _DaysBox(Words):
    """Days, one a line."""

    def clean(self, value: Any) -> Any:
        try:
            return days_from(super().clean(value))
        except ValueError as reason:
            raise forms.ValidationError(str(reason)) from None


class HoursForm(VersionedForm):
    """Seven days, the country and region whose public holidays hold, own closed days; starts from the hours in force."""

    country = forms.ChoiceField(
        label="Country whose public holidays hold",
        required=False,
        choices=lambda: [("", "None"), *countries()],
    )
    region = Words(
        label="Region",
        max_length=60,
        required=False,
        help_text="Where it has holidays of its own: its code or its name.",
    )
    closed = _DaysBox(
        label="Own closed days",
        required=False,
        max_length=8000,
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text="One a line, such as 2026-08-03, or 2026-08-03 to 2026-08-14.",
    )

    def __init__(self, data: Any = None, *, hours: Hours) -> None:
        days = dict(zip(DAYS, map(hours_said, hours.week.days), strict=True))
        start = {"country": hours.country, "region": hours.region, "closed": days_said(hours.own)}
        super().__init__(data, initial={"seen": hours.version, **start, **days})
        for name in DAYS:
            self.fields[name] = _HoursBox(label=name.capitalize(), required=False, max_length=40)
        self.order_fields(["seen", *DAYS])

    def changes(self) -> dict[str, Any]:
        """What was typed, the seven days as one."""
        typed = super().changes()
        return {"days": [typed.pop(name) for name in DAYS], **typed}
