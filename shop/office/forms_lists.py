"""The form a list of prices comes in by."""

from typing import Any

from django import forms

from quotes.price_lists.files import MOST_BYTES


class ListForm(forms.Form):
    """A file; or the digest of one that was looked at, with the digest of the changes that were seen."""

    file = forms.FileField(
        label="The list, CSV or XLSX",
        widget=forms.FileInput(attrs={"accept": ".csv,.xlsx"}),
        help_text="2 MB and 5,000 rows are the most. The heads are those of the list as it goes out; columns may be left out.",
        error_messages={"empty": "The file is empty.", "required": "Choose the file first."},
    )
    digest = forms.CharField(max_length=64, required=False, widget=forms.HiddenInput)
    seen = forms.CharField(max_length=64, required=False, widget=forms.HiddenInput)

    def __init__(self, data: Any = None, files: Any = None) -> None:
        super().__init__(data, files)
        self.fields["file"].required = not (data or {}).get("digest")

    def clean_file(self) -> Any:
        file = self.cleaned_data["file"]
        if file is not None and file.size > MOST_BYTES:
            raise forms.ValidationError("The file is over 2 MB. Cut the list in two.")
        return file
