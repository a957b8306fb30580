"""What the vault shows on the sheet and in the customer's window: never the code itself."""

from collections.abc import Mapping
from typing import Any

from django.forms import Form

from intake.models import Order
from shop.models import CodeShowing
from shop.vault import unlocking as codes
from shop.vault.forms import GiveCodeForm, ShowCodeForm


def about_the_code(order: Order, forms: Mapping[str, Form]) -> dict[str, Any]:
    """Context `unlock`: what lies here, who looked and why, and the forms that may be used now."""
    rows = list(order.unlock_codes.all())
    here = next((row for row in rows if row.erased_at is None), None)
    may = codes.may_be_held(order)
    showings = list(
        CodeShowing.objects.filter(code__in=rows).select_related("by") if rows else CodeShowing.objects.none()
    )
    return {
        "unlock": {
            "here": here,
            "erased": next((row for row in reversed(rows) if row.erased_at is not None), None),
            "showings": showings,
            "give_form": (forms.get("code") or GiveCodeForm(auto_id="code_%s")) if may else None,
            "show_form": (forms.get("show_code") or ShowCodeForm(auto_id="show_%s"))
            if here and may
            else None,
            "lock_wish": order.lock_wish,
        }
    }
