"""The last page: the terms, and a trap that only machines fall into."""

from typing import Any

from django import forms

from intake.forms.fields import StepForm


class CheckForm(StepForm):
    agreed = forms.BooleanField(
        error_messages={"required": "Tick that you agree to the terms, or write to us about them."}
    )
    terms_version = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields[
            "agreed"
        ].label = f"I have read the terms (version {self.head.version}) and agree to them."
        self.initial["terms_version"] = str(self.head.version)

    def clean_terms_version(self) -> str:
        """The version that was on the screen must be the one in force."""
        shown = str(self.cleaned_data["terms_version"])
        if shown != str(self.head.version):
            raise forms.ValidationError("The terms were changed meanwhile. Please read them again below.")
        return shown
