"""Forms of the accounts: the period, closing, terms of the trade, sending a statement."""

import datetime as dt
from typing import Any

from django import forms

from quotes.models import TradeAccount, TradeTier
from quotes.statement_maths import month_start
from quotes.trade_accounts import TermsGiven
from shop.office.editing import Words

MOST_DAYS = 365
OLDEST = dt.date(2000, 1, 1)


def day_field(label: str, *, required: bool = True, hint: str = "") -> forms.DateField:
    return forms.DateField(
        label=label,
        required=required,
        help_text=hint,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={
            "invalid": "Type a day such as 2026-01-31.",
            "required": "Type a day such as 2026-01-31.",
        },
    )


class PeriodForm(forms.Form):
    """From one day to another, both included; this month where nothing is asked."""

    since = day_field("From")
    upto = day_field("Up to")

    def __init__(self, data: Any = None, *, today: dt.date) -> None:
        asked = data if data and (data.get("since") or data.get("upto")) else None
        self.usual = month_start(today), today
        super().__init__(asked, initial={"since": self.usual[0], "upto": today})

    def clean(self) -> dict[str, Any]:
        given = super().clean() or self.cleaned_data
        since, upto = given.get("since"), given.get("upto")
        if since and since < OLDEST:
            self.add_error("since", "There are no books before 2000.")
        if since and upto and upto < since:
            self.add_error("upto", "The last day cannot be before the first.")
        return given

    def period(self) -> tuple[dt.date, dt.date]:
        """The days asked for, or the usual ones where what was typed does not hold."""
        if self.is_bound and self.is_valid():
            return self.cleaned_data["since"], self.cleaned_data["upto"]
        return self.usual


class ClosingForm(forms.Form):
    """Up to which day, and that it is meant."""

    upto = day_field("Close up to and including")
    sure = forms.BooleanField(
        label="I have looked at the sums. I know that this cannot be undone.",
        error_messages={
            "required": "Tick that you have looked at the sums and know that it cannot be undone."
        },
    )


class TermsForm(forms.Form):
    """The terms of one trade customer."""

    tier = forms.ModelChoiceField(
        label="Prices", queryset=TradeTier.objects.none(), required=False, empty_label="The usual prices",
        error_messages={"invalid_choice": "There is no such tier any more. Pick another."},
    )  # fmt: skip
    tax_number = Words(label="Tax number", max_length=40, required=False)
    certificate = Words(
        label="Resale or exemption certificate", max_length=80, required=False,
        help_text="The number on the paper they showed. What it frees from tax is for your tax office to say.",
    )  # fmt: skip
    certificate_until = day_field(
        "Its last day", required=False, hint="Empty: it holds until you take it away."
    )
    on_account = forms.BooleanField(label="Goods leave before the bill is paid", required=False)
    payment_days = forms.IntegerField(
        label="Bills are due after, days", required=False, min_value=0, max_value=MOST_DAYS,
        help_text="Empty: as the tier or the rates have it.",
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off", "size": 6}),
        error_messages={"invalid": "Type a whole number of days."},
    )  # fmt: skip

    def __init__(self, data: Any = None, *, account: TradeAccount | None) -> None:
        given = TermsGiven() if account is None else account
        super().__init__(data, initial={name: getattr(given, name) for name in self.base_fields})
        tiers = TradeTier.objects.filter(active=True)
        if account is not None and account.tier is not None:
            tiers = tiers | TradeTier.objects.filter(pk=account.tier_id)
        self.fields["tier"].queryset = tiers  # type: ignore[attr-defined]  # a ModelChoiceField

    def clean(self) -> dict[str, Any]:
        given = super().clean() or self.cleaned_data
        if given.get("certificate_until") and not given.get("certificate"):
            self.add_error("certificate", "Say which certificate it is the last day of.")
        return given

    def terms(self) -> TermsGiven:
        return TermsGiven(**self.cleaned_data)


class StatementForm(forms.Form):
    """Sending one statement; interest is said only when this is ticked."""

    say_interest = forms.BooleanField(label="Say the interest on the statement", required=False)
