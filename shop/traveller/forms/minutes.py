"""Minutes written by hand, and the times of a clock that is mended."""

import datetime as dt
from typing import Any

from django import forms
from django.utils import timezone

from shop.bench.minute_maths import LONGEST, MINUTE, moments
from shop.models import WorkSession

AS_TYPED = "%Y-%m-%dT%H:%M"
MOST = LONGEST // MINUTE


class WriteDownForm(forms.Form):
    """Minutes that no clock ran for."""

    minutes = forms.IntegerField(
        label="Minutes",
        min_value=1,
        max_value=MOST,
        error_messages={
            "required": "Write how many minutes.",
            "invalid": "Write whole minutes, such as 15.",
            "min_value": f"Minutes are between 1 and {MOST}.",
            "max_value": f"Minutes are between 1 and {MOST}.",
        },
    )
    kind = forms.ChoiceField(label="Kind of work", choices=WorkSession.Kind.choices)
    note = forms.CharField(
        label="What they were for",
        max_length=200,
        error_messages={"required": "Say in a few words what the minutes were for."},
    )


class WallMoment(forms.CharField):
    """A day and a time on the shop's wall; cleans to the moments it may mean, in UTC: one, or two in the hour that
    comes twice when the clocks go back."""

    widget = forms.DateTimeInput(attrs={"type": "datetime-local"}, format=AS_TYPED)

    def clean(self, value: Any) -> Any:
        typed = super().clean(value)
        if not typed:
            return []
        try:
            wall = dt.datetime.fromisoformat(typed).replace(tzinfo=None)
            meant = moments(wall, timezone.get_current_timezone())
        except (ValueError, OverflowError) as wrong:
            raise forms.ValidationError("Write the day and the time, such as 2026-11-27 14:30.") from wrong
        if not meant:
            raise forms.ValidationError(
                "The clocks went forward over that time: it never was. Write another."
            )
        return meant


class MendForm(forms.Form):
    """When the work really began and ended. What is not changed keeps its seconds."""

    started = WallMoment(label="Began", error_messages={"required": "Write when it began."})
    ended = WallMoment(label="Ended", error_messages={"required": "Write when it ended."})
    why = forms.CharField(
        label="Why it is mended",
        max_length=200,
        error_messages={"required": "Say in a few words why the time is mended."},
    )

    def __init__(self, *args: Any, session: WorkSession, **kwargs: Any) -> None:
        self.session = session
        known = {"started": on_the_wall(session.started_at), "ended": on_the_wall(session.ended_at)}
        super().__init__(*args, initial=known, **kwargs)

    def times(self) -> tuple[dt.datetime, dt.datetime]:
        """Beginning and end. Of two moments the first that is not before the beginning is meant."""
        begin = self._kept("started", self.session.started_at) or self.cleaned_data["started"][0]
        end = self._kept("ended", self.session.ended_at)
        meant: list[dt.datetime] = self.cleaned_data["ended"]
        return begin, end or next((moment for moment in meant if moment >= begin), meant[-1])

    def _kept(self, name: str, moment: dt.datetime | None) -> dt.datetime | None:
        return moment if str(self[name].value()) == self.initial[name] else None


def on_the_wall(moment: dt.datetime | None) -> str:
    """As a field for a day and a time holds it, in the zone of the page."""
    return timezone.localtime(moment).strftime(AS_TYPED) if moment else ""
