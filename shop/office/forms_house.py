"""Forms of the letterhead: who the shop is, what it says to its customers, how its letters go."""

import zoneinfo
from typing import Any

from babel import Locale, UnknownLocaleError
from django import forms

from intake import addresses
from intake.cells import PROFILES
from intake.models import Letterhead
from intake.money import MINOR_UNITS
from quotes.cards import provider
from shop.office.editing import VersionedForm, Words

LONGEST_TEXT = 20_000


def _area(rows: int) -> forms.Textarea:
    return forms.Textarea(attrs={"rows": rows})


class _LetterheadPart(VersionedForm):
    """A part of the letterhead; starts from the version in force."""

    def __init__(self, data: Any = None, *, head: Letterhead) -> None:
        names = [name for name in self.base_fields if name != "seen"]
        super().__init__(
            data, initial={"seen": head.version, **{name: getattr(head, name) for name in names}}
        )


class LetterheadForm(_LetterheadPart):
    """Name, address, money and time."""

    name = Words(label="Name of the shop", max_length=120)
    legal_name = Words(
        label="Legal name", max_length=120, required=False, help_text="As it must stand on a bill."
    )
    street = Words(label="Street and house", max_length=240, widget=_area(2))
    city = Words(label="Town", max_length=80)
    area = Words(label="State or region", max_length=80, required=False)
    postcode = Words(label="Postcode", max_length=20, required=False)
    country = forms.ChoiceField(label="Country", choices=addresses.countries)
    email = forms.EmailField(label="E-mail", max_length=254)
    phone = Words(label="Phone", max_length=40, required=False)
    hours = Words(label="When the phone is answered", max_length=120, required=False)
    tax_number = Words(label="Tax number", max_length=40, required=False)
    bank_account = Words(label="Bank account for transfers", max_length=60, required=False)
    bank_code = Words(
        label="BIC", max_length=11, required=False, help_text="Where a transfer from abroad needs one."
    )
    legal_number = Words(label="Number in the company register", max_length=40, required=False)
    card_provider = forms.ChoiceField(
        label="Card payments by link",
        choices=lambda: [("", "None"), *((name, name.capitalize()) for name in provider.names())],
        required=False,
        help_text="With one, customers can pay their bill by card from their own page.",
    )
    zone = forms.ChoiceField(
        label="Time zone",
        choices=lambda: [(name, name) for name in sorted(zoneinfo.available_timezones())],
        help_text="Every time on screen, paper and letter is said in it. The books keep the days on which orders left as they "
        "were, until they are counted anew with manage.py recount_books --mend.",
    )
    locale = Words(
        label="Language and region of numbers",
        max_length=20,
        help_text="Such as en_GB or en_US: how money is written.",
    )
    currency = forms.ChoiceField(
        label="Currency",
        choices=[(code, code) for code in sorted(MINOR_UNITS)],
        help_text="For new orders. Orders that are here keep theirs, and the books add up one currency only.",
    )
    paper_size = forms.ChoiceField(label="Paper", choices=[("A4", "A4"), ("Letter", "Letter")])
    post_profile = forms.ChoiceField(
        label="Rules of the post for used lithium devices",
        choices=[(key, profile.name) for key, profile in PROFILES.items()],
        help_text="Decides the marks on the shipping form. Confirm them with your carrier; local rules go first.",
    )

    def __init__(self, data: Any = None, *, head: Letterhead) -> None:
        super().__init__(data, head=head)
        if not provider.names() and not head.card_provider:
            del self.fields["card_provider"]

    def clean_locale(self) -> str:
        typed = self.cleaned_data["locale"].replace("-", "_")
        try:
            return str(Locale.parse(typed))
        except (UnknownLocaleError, ValueError):
            raise forms.ValidationError("That is no locale. Type one such as en_GB or de_DE.") from None


class Lines(forms.CharField):
    """One entry a line; gives a list without blanks and doubles."""

    widget = forms.Textarea

    def prepare_value(self, value: Any) -> Any:
        return "\n".join(value) if isinstance(value, list) else value

    def clean(self, value: Any) -> Any:
        lines = [line.strip() for line in Words(required=False).to_python(value).splitlines()]
        entries = list(dict.fromkeys(line for line in lines if line))
        if self.required and not entries:
            raise forms.ValidationError("Write one line at least.")
        if too_long := next((line for line in entries if len(line) > 120), ""):
            raise forms.ValidationError(
                f"This line is too long, 120 characters are the most: {too_long[:40]}…"
            )
        if len(entries) > 60:
            raise forms.ValidationError(f"Sixty lines are the most; here are {len(entries)}.")
        return entries


class TextsForm(_LetterheadPart):
    """What customers agree to and read."""

    terms = Words(label="Terms", max_length=LONGEST_TEXT, required=False, widget=_area(9))
    privacy = Words(label="Privacy", max_length=LONGEST_TEXT, required=False, widget=_area(7))
    no_fix_words = Words(
        label="If it cannot be mended", max_length=LONGEST_TEXT, required=False, widget=_area(4)
    )
    warranty_words = Words(label="Warranty", max_length=LONGEST_TEXT, required=False, widget=_area(4))
    storage_words = Words(
        label="Devices that are not claimed", max_length=LONGEST_TEXT, required=False, widget=_area(4),
        help_text="What the law allows differs from place to place. Ask somebody who knows yours.",
    )  # fmt: skip
    withdrawal_words = Words(
        label="Right to withdraw", max_length=LONGEST_TEXT, required=False, widget=_area(4)
    )
    symptoms = Lines(
        label="Symptoms to tick",
        widget=_area(12),
        help_text="One a line, in the customer's words, in this order.",
    )


class LettersForm(_LetterheadPart):
    """What happens to a letter that may have arrived."""

    unsure_letters = forms.ChoiceField(
        label="When the line breaks while a letter is going",
        choices=[
            ("resend", "Send it again, with the same Message-ID and a line saying why"),
            ("hold", "Hold it for a person"),
        ],
        widget=forms.RadioSelect,
        help_text="Nobody can know then whether it arrived. Mail cannot be exactly-once.",
    )
