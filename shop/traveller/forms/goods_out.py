"""Forms of station 80: what is packed and who carries it; or how the data was wiped."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django import forms

from shop.returns.carriers import check_tracking
from shop.returns.out import Packed
from shop.traveller.forms.bill import AmountField
from shop.traveller.forms.diagnosis import short, text

WHOLE = {"inputmode": "numeric", "autocomplete": "off", "size": 7}


class PackForm(forms.Form):
    """The parcel home. `contents` is what came in. Shown twice: to fill in, and to look at before it is sent."""

    contents = forms.MultipleChoiceField(
        label="In the box, as it came",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        error_messages={"invalid_choice": "One of these did not come in."},
    )
    weight_grams = forms.IntegerField(
        label="Weight in grams",
        min_value=1,
        max_value=50_000,
        widget=forms.TextInput(attrs=WHOLE),
        error_messages={
            "required": "Weigh the parcel.",
            "invalid": "Write the weight in whole grams.",
            "min_value": "The weight is between 1 and 50,000 grams.",
            "max_value": "The weight is between 1 and 50,000 grams.",
        },
    )
    carrier = text("Who carries it", 60, required="Say who carries it.", widget=short(list="carriers"))
    tracking = text("Tracking number", 40, widget=short(), help_text="Scan it from the label.")
    minutes = forms.IntegerField(
        label="Minutes of packing",
        required=False,
        min_value=1,
        max_value=720,
        widget=forms.TextInput(attrs=WHOLE),
        error_messages={
            "invalid": "Write the minutes as a whole number.",
            "min_value": "Minutes are between 1 and 720.",
            "max_value": "Minutes are between 1 and 720.",
        },
    )
    key = forms.CharField(max_length=64, widget=forms.HiddenInput)
    review = False

    def __init__(
        self,
        *args: Any,
        contents: list[str],
        currency: str,
        usual_cost: Decimal | None = None,
        checks: Mapping[str, str] | None = None,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **{"auto_id": "pack_%s", **kwargs})
        field = self.fields["contents"]
        assert isinstance(field, forms.MultipleChoiceField)
        field.choices = [(what, what) for what in dict.fromkeys(contents)]
        self.contents = contents
        if checks:
            self.fields["checked"] = forms.MultipleChoiceField(
                label="It goes back unrepaired",
                required=False,
                choices=list(checks.items()),
                widget=forms.CheckboxSelectMultiple,
                help_text="Look at each, then tick it.",
            )
        self.fields["cost"] = AmountField(
            currency=currency,
            label="Cost of post",
            required=False,
            initial=str(usual_cost) if usual_cost is not None else "",
            help_text="Left empty, the usual cost of the rates is written down.",
        )
        self.order_fields(
            ["contents", "checked", "weight_grams", "carrier", "tracking", "cost", "minutes", "key"]
        )

    def clean_tracking(self) -> str:
        """A wrong check digit is refused here, beside the field; an unknown scheme is not."""
        typed: str = self.cleaned_data["tracking"]
        verdict = check_tracking(typed)
        if verdict.ok is False:
            raise forms.ValidationError(verdict.sentence)
        return verdict.number

    def packed(self, usual_cost: Decimal) -> Packed:
        """What was packed, of a form that holds."""
        given = self.cleaned_data
        return Packed(
            carrier=given["carrier"],
            weight_grams=given["weight_grams"],
            contents=[{"what": what, "packed": what in given["contents"]} for what in self.contents],
            tracking=given["tracking"],
            cost=usual_cost if given["cost"] is None else given["cost"],
            minutes=given["minutes"],
            checked=tuple(given.get("checked", ())),
        )


class WipeForm(forms.Form):
    """The record that goes before recycling. Words of the methods: NIST SP 800-88 (clear, purge, destroy)."""

    way = forms.ChoiceField(
        label="How the data was wiped",
        choices=[
            ("clear", "Clear: overwritten, or reset with its own commands"),
            ("purge", "Purge: keys erased, or the maker's secure erase"),
            ("destroy", "Destroy: the memory was taken apart"),
        ],
        widget=forms.RadioSelect,
        error_messages={"required": "Say how the data was wiped: clear, purge or destroy, and with what."},
    )
    with_what = text(
        "With what", 150, required="Say with what: the tool or the command.", widget=forms.TextInput
    )
    checked = forms.BooleanField(
        label="I looked, and no data can be read any more",
        error_messages={"required": "Look first whether data can still be read, then tick."},
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": "wipe_%s", **kwargs})

    def method(self) -> str:
        return f"{self.cleaned_data['way'].capitalize()}, {self.cleaned_data['with_what']}"
