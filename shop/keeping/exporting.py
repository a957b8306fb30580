"""Everything about one person in one ZIP: data by class in plain names, photos, papers, letters."""

import datetime as dt
import json
import re
import tempfile
import zipfile
from decimal import Decimal
from typing import IO, Any

from django.apps import apps

from intake import history, paper_files, photo_files
from intake.history import in_turn
from intake.lifecycle import Actor
from intake.models import Customer, Letter, Order, Photo
from shop.keeping import register, sights
from shop.keeping.places import Scope, rows_of, scope_of, way_to_order, written_to

GIVEN = ("person", "device", "words", "money")
IN_MEMORY = 8_000_000
ABOUT = """What this shop keeps about you.

data.json: everything written down, by what it is. Photos, papers and letters lie beside it as they were made.
What is not in it: unlock codes (sealed, and emptied when the device leaves), digests that say nothing by themselves, and
the shop's own stock and accounts.
"""


@in_turn
def told(*, customer: Customer, by: Actor, at: dt.datetime) -> None:
    """Write down that everything about a person was given out, and to whose hands."""
    scope = scope_of(customer)
    facts = {"customer": customer.pk, "orders": len(scope.orders)}
    history.record(order=None, what="person exported", by=by.name, at=at, facts=facts)
    if by.person is not None:
        sights.note_orders(by.person.pk, scope.orders, "export", at=at)


def archive(customer: Customer, *, at: dt.datetime) -> IO[bytes]:
    """The ZIP, rewound. Whoever opens it closes it. A file that is lost is named in missing.txt."""
    scope = scope_of(customer)
    out = tempfile.SpooledTemporaryFile(max_size=IN_MEMORY)  # noqa: SIM115 -- the answer closes it
    missing: list[str] = []
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as into:
        into.writestr("about.txt", ABOUT)
        into.writestr("data.json", json.dumps(data(customer, at=at), indent=1, ensure_ascii=False))
        _photos(into, scope, missing)
        _papers(into, scope, missing, at)
        _letters(into, customer, scope)
        if missing:
            into.writestr("missing.txt", "\n".join(missing) + "\n")
    out.seek(0)
    return out


def data(customer: Customer, *, at: dt.datetime) -> dict[str, Any]:
    """What is written down: class, then what it is, then rows of plain values."""
    scope = scope_of(customer)
    codes = dict(Order.objects.filter(pk__in=scope.orders).values_list("pk", "code"))
    found: dict[str, Any] = {"made": at.astimezone(dt.UTC).isoformat(), "orders": sorted(codes.values())}
    for cls in GIVEN:
        found[register.CLASSES[cls]] = {}
        for row in dict.fromkeys(column.row for column in register.columns() if column.cls == cls):
            names = [column.name for column in register.of_row(row, classes=[cls])]
            if rows := _rows(row, names, scope, codes):
                found[register.CLASSES[cls]][_plain_name(row)] = rows
    letters = written_to(customer.email).values("to", "subject", "text", "created_at")
    found["Other letters"] = [{name: _plain(value) for name, value in row.items()} for row in letters]
    return found


def _rows(row: str, names: list[str], scope: Scope, codes: dict[int, str]) -> list[dict[str, Any]]:
    """One dictionary a row; amounts and days too, where the row has them."""
    model: Any = apps.get_model(row)
    kinds = ("DecimalField", "DateField", "DateTimeField")
    more = [
        f.name for f in model._meta.concrete_fields if f.get_internal_type() in kinds and "cost" not in f.name
    ]
    way = way_to_order(row)
    wanted = dict.fromkeys([*names, *more])
    found = []
    for values in rows_of(row, scope, shared=True).order_by("pk").values_list(way or "pk", *wanted):
        order = codes.get(values[0], "") if way else ""
        told_of = {"order": order} if order else {}
        plain = {name.replace("_", " "): _plain(v) for name, v in zip(wanted, values[1:], strict=True)}
        found.append(told_of | plain)
    return found


def _plain(value: Any) -> Any:
    if isinstance(value, Decimal):
        return f"{value:f}"
    if isinstance(value, dt.datetime):
        return value.astimezone(dt.UTC).isoformat()
    return value.isoformat() if isinstance(value, dt.date) else value


def _plain_name(row: str) -> str:
    model: Any = apps.get_model(row)
    return str(model._meta.verbose_name)


def _photos(into: zipfile.ZipFile, scope: Scope, missing: list[str]) -> None:
    for photo in Photo.objects.filter(order__in=scope.orders).select_related("order"):
        name = f"photos/{photo.order.code if photo.order else 'none'}-{photo.pk}-{photo.role}.jpg"
        try:
            into.writestr(name, photo_files.kept(photo))
        except OSError:
            missing.append(f"{name}: the file is lost")


def _papers(into: zipfile.ZipFile, scope: Scope, missing: list[str], at: dt.datetime) -> None:
    for paper in rows_of("intake.Paper", scope).filter(for_customer=True):
        name = f"papers/{paper.pk}-{re.sub(r'[^A-Za-z0-9._-]+', '-', paper.file_name)}"
        try:
            into.writestr(name, paper_files.content(paper, at=at))
        except paper_files.PaperMissing as fault:
            missing.append(f"{name}: {fault}")


def _letters(into: zipfile.ZipFile, customer: Customer, scope: Scope) -> None:
    mine: list[Letter] = [*rows_of("intake.Letter", scope), *written_to(customer.email)]
    for letter in {letter.pk: letter for letter in mine}.values():
        if letter.text:
            head = f"To: {letter.to}\nWritten: {letter.created_at.isoformat()}\n{letter.subject}\n\n"
            into.writestr(f"letters/{letter.pk}-{letter.kind}.txt", head + letter.text)
