"""Forms of keeping: the plan, the search for a person, the reason."""

from typing import Any

from django import forms

from shop.keeping.kinds import LEAST, MOST, SETTABLE, Kind, days_of
from shop.models import RetentionPlan
from shop.office.editing import VersionedForm, Words


class Days(forms.IntegerField):
    """Days, or nothing to keep for good."""

    widget = forms.TextInput

    def __init__(self, kind: Kind) -> None:
        super().__init__(
            label=kind.title,
            required=False,
            min_value=LEAST,
            max_value=MOST,
            help_text=" ".join(part for part in (f"Days after {kind.after}. {kind.does}", kind.warn) if part),
        )
        self.widget.attrs |= {"inputmode": "numeric", "autocomplete": "off", "size": 8}
        said = f"From {LEAST} to {MOST} days, or nothing to keep it for good."
        self.error_messages |= {"invalid": said, "min_value": said, "max_value": said}


class PlanForm(VersionedForm):
    """How long each kind is kept; nothing typed keeps it for good."""

    def __init__(self, *args: Any, plan: RetentionPlan, **kwargs: Any) -> None:
        days = {kind.name: days_of(plan.days, kind.name) for kind in SETTABLE}
        initial = {"seen": plan.version, "basis": plan.basis.get("money", ""), **days}
        super().__init__(*args, initial=initial, **kwargs)
        for kind in SETTABLE:
            self.fields[kind.name] = Days(kind)
        self.fields["basis"] = Words(
            label="Why bills are kept that long",
            required=False,
            max_length=300,
            help_text="The law or rule, by its name. It is shown to whoever asks to be erased.",
        )

    def days(self) -> dict[str, int | None]:
        return {kind.name: self.cleaned_data[kind.name] for kind in SETTABLE}

    def basis(self) -> dict[str, str]:
        return {"money": self.cleaned_data["basis"]}


class FindForm(forms.Form):
    """An order's code, an e-mail or a name."""

    q = Words(label="Order's code, e-mail or name", required=False, max_length=200)


class WhyForm(forms.Form):
    """Why somebody is erased, and that it cannot be undone."""

    why = Words(
        label="Why",
        max_length=200,
        help_text="Such as: asked for it by letter. Write no name here; this line stays.",
        error_messages={"required": "Write why: the person asked for it, say."},
    )
    sure = forms.BooleanField(
        label="I know that nobody can bring this back",
        error_messages={"required": "Tick that you know it cannot be undone."},
    )
