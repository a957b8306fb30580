"""A post that needs nothing but the press of its button."""

from django import forms


class NoForm(forms.Form):
    """No fields; what the action refuses stands at the top of the page."""
