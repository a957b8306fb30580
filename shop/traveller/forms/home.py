"""Forms of the last stretch: delivered, came back."""

import datetime as dt
from typing import Any

from django import forms
from django.utils import timezone


class DeliveredForm(forms.Form):
    """The day of delivery; today unless told. The warranty runs from it. `at` is now."""

    day = forms.DateField(
        label="Delivered on",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"required": "Say on which day.", "invalid": "Write the day as 2026-11-27."},
    )

    def __init__(
        self, *args: Any, at: dt.datetime, sent_at: dt.datetime | None = None, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.at, self.sent_at = at, sent_at
        self.fields["day"].initial = timezone.localdate(at)

    def clean_day(self) -> dt.date:
        day: dt.date = self.cleaned_data["day"]
        if day > timezone.localdate(self.at):
            raise forms.ValidationError("That day is still to come.")
        if self.sent_at and day < timezone.localdate(self.sent_at):
            raise forms.ValidationError("It was handed to the post later than that.")
        return day

    def moment(self) -> dt.datetime:
        """Noon of that day in the shop's zone; never later than now, never before it was sent."""
        noon = timezone.make_aware(dt.datetime.combine(self.cleaned_data["day"], dt.time(12)))
        return max(min(noon, self.at), self.sent_at or noon).astimezone(dt.UTC)


class ComebackForm(forms.Form):
    """The device is here again."""

    words = forms.CharField(
        label="What the customer says now",
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={"required": "Write what the customer sees now."},
    )
    form_key = forms.CharField(max_length=64, widget=forms.HiddenInput)
