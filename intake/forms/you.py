"""Who sends it, and where it goes back to; the fields of the address are those of its country."""

from django import forms

from intake import addresses
from intake.forms.fields import StepForm, Wanted, Words
from intake.request_answers import AddressAnswer

_MOST = {"organisation": 120, "street": 240, "city": 80, "area": 80, "postcode": 20}
ADDRESS = tuple(_MOST)


class YouForm(StepForm):
    name = Words(
        label="Your name",
        most=120,
        help_text="It also stands on the parcel back to you.",
        widget=forms.TextInput(attrs={"autocomplete": "name"}),
        error_messages={"required": "Type your name."},
    )
    email = forms.EmailField(
        label="E-mail",
        max_length=254,
        help_text="The shipping form, the quote and the link to your order go there.",
        widget=forms.EmailInput(attrs={"autocomplete": "email", "spellcheck": "false"}),
        error_messages={
            "required": "Type an e-mail address, so that the quote can reach you.",
            "invalid": "That is not a whole e-mail address. It looks like name@example.com.",
            "max_length": "That e-mail address is too long.",
        },
    )
    phone = Words(
        label="Phone",
        most=40,
        required=False,
        help_text="Only used if a letter cannot reach you.",
        widget=forms.TextInput(attrs={"type": "tel", "autocomplete": "tel"}),
    )
    country = forms.ChoiceField(
        label="Country it goes back to",
        choices=addresses.countries,
        widget=forms.Select(attrs={"autocomplete": "shipping country"}),
        error_messages={
            "required": "Choose the country it goes back to.",
            "invalid_choice": "Choose a country from the list.",
        },
    )

    def build(self) -> None:
        self.fields["country"].initial = self.head.country
        for field in addresses.fields_for(self.address_country()):
            if field.name in _MOST:
                self.fields[field.name] = _address_field(field)

    def address_country(self) -> str:
        """The country whose fields are shown: the one chosen, if it is on the list, else the shop's own."""
        chosen = str(self.data.get("country", "") or "").upper() if self.is_bound else ""
        return chosen if chosen in dict(addresses.countries()) else self.head.country

    def names(self) -> list[str]:
        return list(dict.fromkeys([*self.fields, *ADDRESS]))

    def address(self) -> AddressAnswer:
        given = self.cleaned_data
        return AddressAnswer(
            name=given["name"],
            country=given["country"],
            **{name: given.get(name, "") for name in ADDRESS},
        )

    def lines(self) -> list[str]:
        given = self.cleaned_data
        return addresses.lines(
            {"name": given["name"], "country": given["country"], **{n: given.get(n, "") for n in ADDRESS}},
            home=self.head.country,
        )

    def said(self) -> list[tuple[str, str]]:
        given = self.cleaned_data
        return [
            ("E-mail", given["email"]),
            ("Phone", given["phone"]),
            ("It goes back to", "\n".join(self.lines())),
        ]

    def warnings(self) -> list[tuple[str, str]]:
        given = {name: str(self.cleaned_data.get(name, "")) for name in ("name", *ADDRESS)}
        return list(addresses.warnings(self.cleaned_data["country"], given).items())


def _address_field(field: addresses.Field) -> forms.Field:
    # Only the street is a must: a parcel finds a house by it, and every other rule has its exception somewhere.
    must = field.name == "street"
    attrs = {"autocomplete": f"shipping {field.autocomplete}"}
    if field.choices:
        choices = [("", "Choose"), *field.choices]
        return Wanted(
            label=field.label,
            required=field.required,
            choices=choices,
            widget=forms.Select(attrs=attrs),
            error_messages={"invalid_choice": f"{field.label}: choose one from the list."},
        )
    widget = forms.Textarea(attrs={"rows": 2, **attrs}) if must else forms.TextInput(attrs=attrs)
    return Words(
        label=field.label,
        most=_MOST[field.name],
        required=must or field.required,
        wanted=not must,
        widget=widget,
        error_messages={"required": "Type the street and number."},
    )
