"""What was billed, paid and is owed on one order, with the forms that change it."""

import secrets
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django.forms import Form

from intake.models import Order, Person
from intake.stations import Station
from quotes import deposits
from quotes.agreed import agreed_quote
from quotes.cash_rounding import cash_rounding
from quotes.ceilings import ceiling_of
from quotes.credits import is_credited_whole
from quotes.models import Invoice, Rates
from quotes.owed import balance, deposit_held, in_dispute, to_pay_back
from shop.models import Override
from shop.traveller.bill_rows import invoice_rows, payment_rows
from shop.traveller.forms.bill import LetGoForm, PayForm, RefundForm
from shop.traveller.forms.bill_more import MakeGoodForm, OnTopForm, WriteOffForm

EARLY = (Station.GO_AHEAD, Station.REPAIR, Station.TEST)


def money_context(order: Order, *, person: Person, forms: Mapping[str, Form]) -> dict[str, Any]:
    """Keys: invoices, payments, write_offs, owed, over, held, disputed, is_owner, let_go, again, refused (a button's form
    that was refused), and the forms: pay_form, refund_form, let_go_form, write_off_form, make_good_form."""
    owed, held, disputed = balance(order), deposit_held(order), in_dispute(order)
    free = owed - disputed
    return {
        "invoices": invoice_rows(order, person, forms),
        "payments": payment_rows(order, person, forms),
        "write_offs": list(order.write_offs.select_related("by")),
        "owed": owed,
        "over": to_pay_back(order),
        "held": held,
        "disputed": disputed,
        "is_owner": person.is_owner,
        "let_go": Override.objects.filter(order=order).select_related("by").first(),
        "again": person.is_owner and _all_credited(order),
        "pay_form": forms.get("pay") or pay_form(order, person),
        "refund_form": forms.get("refund") or refund_form(order),
        "let_go_form": forms.get("let_go") or LetGoForm(),
        "refused": forms.get("bill_again") or forms.get("dispute_end"),
        "write_off_form": forms.get("write_off") or _write_off_form(order, person, free),
        "make_good_form": forms.get("make_good") or _make_good_form(order, person),
    }


def early_money(order: Order, *, person: Person, forms: Mapping[str, Form]) -> dict[str, Any] | None:
    """Money before the bill, while the bench works: a deposit, and what comes on top of the agreed quote. None where
    neither is known on this order. Keys: those of the forms, wanted, asked_for, payments, held, on_top, is_owner."""
    if order.at_station not in EARLY:
        return None
    wanted, payments = deposits.wanted(order), payment_rows(order, person, forms)
    on_top = _on_top(order, forms)
    if not (wanted or payments or on_top):
        return None
    return {
        "wanted": wanted,
        "payments": payments,
        "held": deposit_held(order),
        "over": Decimal(0),
        "on_top": on_top,
        "is_owner": person.is_owner,
        "pay_form": forms.get("pay") or pay_form(order, person),
        "refund_form": forms.get("refund") or refund_form(order),
    }


def pay_form(order: Order, person: Person, data: Any = None) -> PayForm:
    """Empty, or bound to what was posted; the purpose is asked while a deposit is still to come."""
    wanted = Decimal(0) if order.invoices.exists() else deposits.wanted(order)
    owed = balance(order) - in_dispute(order)
    return PayForm(
        data,
        currency=order.currency,
        sees_costs=person.is_owner,
        # What a bank took back is being argued over: nobody should be led to book it a second time.
        owed=owed,
        coins=_in_coins(owed, order.currency),
        wanted=wanted,
        initial={"key": new_key()},
    )


def _in_coins(owed: Decimal, currency: str) -> Decimal | None:
    """What is owed as coins can pay it; None where that is the same, or the shop takes every cent."""
    step = Rates.current().cash_step
    rounding = cash_rounding(owed, step, currency) if step and owed > 0 else Decimal(0)
    return owed + rounding if rounding else None


def refund_form(order: Order, data: Any = None) -> RefundForm:
    """Empty, or bound; the purpose is asked while a deposit is held."""
    return RefundForm(
        data,
        currency=order.currency,
        over=to_pay_back(order),
        held=deposit_held(order),
        initial={"key": new_key()},
    )


def new_key() -> str:
    return secrets.token_urlsafe(24)


def _all_credited(order: Order) -> bool:
    bills = list(order.invoices.filter(kind=Invoice.Kind.INVOICE))
    return bool(bills) and all(is_credited_whole(bill) for bill in bills)


def _write_off_form(order: Order, person: Person, free: Decimal) -> WriteOffForm | None:
    if not person.is_owner or free <= 0:
        return None
    return WriteOffForm(currency=order.currency, owed=free, initial={"key": new_key()})


def _make_good_form(order: Order, person: Person) -> MakeGoodForm | None:
    return MakeGoodForm(currency=order.currency, initial={"key": new_key()}) if person.is_owner else None


def _on_top(order: Order, forms: Mapping[str, Form]) -> dict[str, Any] | None:
    """Keys: agreed, most, added, form. None where nothing was agreed, or nothing may come on top."""
    quote = agreed_quote(order)
    if quote is None or order.invoices.exists():
        return None
    added = list(order.bill_additions.filter(quote=quote).select_related("by"))
    agreed, most = ceiling_of(quote.decision, added=False), ceiling_of(quote.decision)
    if most <= agreed and not added:
        return None
    form = forms.get("on_top") or OnTopForm(currency=order.currency, initial={"key": new_key()})
    return {"agreed": agreed, "most": most, "added": added, "form": form}
