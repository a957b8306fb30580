"""Where the rows about a person are: from each model with their data, the way to their orders."""

from dataclasses import dataclass
from typing import Any

from django.apps import apps
from django.db.models import Q, QuerySet

from intake.models import Address, Customer, Letter, Order
from quotes.models import Statement
from shop.models import Parcel

# Models that hang on an order by another name than `order`.
_WAYS = {
    "intake.Order": "pk",
    "intake.Device": "orders",
    "intake.LetterTry": "letter__order",
    "quotes.BankLine": "match__payment__order",
    "quotes.BankMatch": "payment__order",
    "quotes.CardEvent": "checkout__order",
    "quotes.Posting": "entry__order",
    "quotes.InvoiceLine": "invoice__order",
    "quotes.Dispute": "payment__order",
    "quotes.DisputeEnd": "dispute__payment__order",
    "quotes.QuoteChoice": "quote__order",
    "quotes.QuoteLine": "quote__order",
    "quotes.QuoteEnd": "quote__order",
    "quotes.Decision": "quote__order",
    "quotes.DecisionStop": "decision__quote__order",
    "shop.TestRow": "run__order",
    "shop.PhotoMark": "photo__order",
    "shop.CodeShowing": "code__order",
}
_OF_CUSTOMER = {
    "intake.Customer": "pk",
    "quotes.TradeAccount": "customer",
    "quotes.Statement": "account__customer",
}
_SHARED = {"shop.BagCount"}
# Statements hang on no order either; they are known by their account.
_BEFORE_AN_ORDER = ("request_resume",)


@dataclass(frozen=True)
class Scope:
    """Whose rows: these orders (keys, or a query of them), and where it is a whole person their own rows besides."""

    orders: "tuple[int, ...] | QuerySet[Any]"
    customer: int | None = None


def scope_of(customer: Customer) -> Scope:
    """Everything of a person."""
    return Scope(
        tuple(Order.objects.filter(customer=customer).order_by("pk").values_list("pk", flat=True)),
        customer.pk,
    )


def way_to_order(row: str) -> str:
    """The look-up from a model to its order; "" where it has none."""
    if row in _WAYS:
        return _WAYS[row]
    model: Any = apps.get_model(row)
    return (
        "order" if any(f.name == "order" for f in model._meta.concrete_fields) and row not in _SHARED else ""
    )


def rows_of(row: str, scope: Scope, *, shared: bool = False) -> "QuerySet[Any]":
    """The rows of one model in a scope, by its label; with `shared` also addresses that others use too."""
    model: Any = apps.get_model(row)
    if row == "intake.Address":
        return _addresses(scope, shared=shared)
    if row in _OF_CUSTOMER:
        return (
            model.objects.filter(**{_OF_CUSTOMER[row]: scope.customer})
            if scope.customer
            else model.objects.none()
        )
    if not (way := way_to_order(row)):
        return model.objects.none()
    mine = Q(**{f"{way}__in": scope.orders})
    if row in ("intake.Letter", "intake.LetterTry", "intake.Paper") and scope.customer:
        mine |= _statements(row, scope.customer)
    found = model.objects.filter(mine)
    return found.distinct() if row == "intake.Device" else found


def _addresses(scope: Scope, *, shared: bool) -> "QuerySet[Address]":
    """Their addresses, but for those that the order or parcel of somebody else who is not erased uses too."""
    used = {*Order.objects.filter(pk__in=scope.orders).values_list("return_address", flat=True)}
    used |= {*Parcel.objects.filter(order__in=scope.orders).values_list("address", flat=True)}
    used -= {None}
    if shared:
        return Address.objects.filter(pk__in=used)
    others = {
        *Order.objects.filter(return_address__in=used)
        .exclude(pk__in=scope.orders)
        .exclude(customer__erased_at__isnull=False)
        .values_list("return_address", flat=True)
    }
    others |= {
        *Parcel.objects.filter(address__in=used)
        .exclude(order__in=scope.orders)
        .exclude(order__customer__erased_at__isnull=False)
        .values_list("address", flat=True)
    }
    return Address.objects.filter(pk__in=used - others)


def _statements(row: str, customer: int) -> Q:
    """Statements are of no one order: their papers and letters are known by their key."""
    pks = Statement.objects.filter(account__customer=customer).values_list("pk", flat=True)
    keys = [f"statement:{pk}" for pk in pks]
    return Q(**{"letter__key__in" if row == "intake.LetterTry" else "key__in": keys})


def written_to(email: str) -> "QuerySet[Letter]":
    """Letters to a customer's address that hang on no order. What goes to the shop and its staff is none of them, though
    somebody who works here may be a customer as well."""
    if not email:
        return Letter.objects.none()
    return Letter.objects.filter(order=None, kind__in=_BEFORE_AN_ORDER, to__iexact=email)


def written_to_them_alone(customer: Customer) -> "QuerySet[Letter]":
    """Such letters of a person; none while somebody else who is not erased has the same address."""
    others = Customer.objects.filter(email__iexact=customer.email, erased_at=None).exclude(pk=customer.pk)
    return Letter.objects.none() if others.exists() else written_to(customer.email)


def orders_that_left(before: Any) -> "QuerySet[Order]":
    """Orders that are closed and left before a moment."""
    left = Q(sent_at__lte=before) | Q(sent_at__isnull=True, closed_at__lte=before)
    return Order.objects.filter(left, closed_at__isnull=False)
