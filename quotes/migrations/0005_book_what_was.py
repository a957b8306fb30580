"""A shop that billed before there was a journal gets its journal: one entry for each invoice, credit note and payment."""

import datetime as dt
import zoneinfo
from decimal import Decimal
from typing import Any

from django.db import migrations

from quotes.ledger_maths import Document, Leg, by_kind, document, payment, tax_kind


KINDS = {"transfer": "bank transfer", "card": "card", "cash": "cash"}


def _events(apps: Any) -> list[tuple[dt.datetime, int, str, str, tuple[Leg, ...], Any, str, str]]:
    """In the order they came; a bill goes before the payment of the same moment."""
    found = []
    for bill in apps.get_model("quotes", "Invoice").objects.order_by("id"):
        word = "Invoice" if bill.kind == "invoice" else "Credit note"
        what = "invoice" if bill.kind == "invoice" else "credit note"
        text = f"{word} {bill.number}"
        found.append((bill.issued_at, 0, f"invoice:{bill.pk}", what, _bill(bill), bill, text, bill.number))
    for paid in apps.get_model("quotes", "Payment").objects.order_by("id"):
        what = "payment" if paid.amount > 0 else "refund"
        text = f"{what.capitalize()}, {KINDS[paid.kind]}"
        legs = payment(kind=paid.kind, purpose=paid.purpose, amount=paid.amount, fee=paid.fee)
        found.append((paid.at, 1, f"payment:{paid.pk}", what, legs, paid, text, ""))
    return sorted(found, key=lambda event: event[:2])


def _bill(bill: Any) -> tuple[Leg, ...]:
    lines = [(line.kind, line.net) for line in bill.lines.order_by("number")]
    taxes = [
        (tax_kind(group.get("category", ""), Decimal(group["rate"])), Decimal(group["tax"]))
        for group in bill.tax_groups
    ]
    return document(Document(by_kind(lines), by_kind(taxes), bill.prepaid, bill.rounding))


def book(apps: Any, _schema_editor: Any) -> None:
    """The key of each entry keeps a second run from booking twice."""
    entries, postings = apps.get_model("quotes", "Entry"), apps.get_model("quotes", "Posting")
    series = apps.get_model("quotes", "NumberSeries")
    events = _events(apps)
    if not events:
        return
    head = apps.get_model("intake", "Letterhead").objects.order_by("version").last()
    zone = zoneinfo.ZoneInfo(head.zone if head is not None else "UTC")
    counter, _ = series.objects.get_or_create(kind="entry")
    for at, _, key, what, legs, row, text, number in events:
        if not legs or entries.objects.filter(key=key).exists():
            continue
        entry = entries.objects.create(
            number=counter.next, key=key, day=at.astimezone(zone).date(), at=at, what=what, text=text[:200],
            document=number, order_id=row.order_id, currency=row.currency, by=_who(row),
        )  # fmt: skip
        postings.objects.bulk_create(
            postings(entry=entry, account=leg.account, kind=leg.kind, amount=leg.amount) for leg in legs
        )
        counter.next += 1
    counter.save()


def _who(row: Any) -> str:
    """An old invoice does not say who wrote it; the history does."""
    return row.by.username[:40] if hasattr(row, "by") else "from the papers"


class Migration(migrations.Migration):
    dependencies = [("quotes", "0004_money_only_added")]
    operations = [migrations.RunPython(book, migrations.RunPython.noop)]
