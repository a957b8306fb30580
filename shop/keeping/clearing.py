"""Empties columns, and removes photos and the files of papers. Called inside the transaction of who clears.

Files go after the commit, and only where no other row has them.
"""

import datetime as dt
from collections.abc import Collection, Iterable
from functools import partial
from pathlib import Path
from typing import Any

from django.apps import apps
from django.conf import settings
from django.db import connection, models, transaction
from django.db.models import Q, QuerySet

from intake import album, file_store, paper_files
from intake.append_only import ErasedWithin, blank, blanks_of
from intake.models import HistoryEntry, Letter, Order, Paper, Photo
from quotes.erasable import ANYONE
from shop.keeping import register
from shop.keeping.places import way_to_order
from shop.models import PhotoMark
from shop.pictures import marked

MONEY_PAPERS = ("invoice", "credit_note", "invoice_xml", "statement")
_AT_ONCE = 500


def clear(row: str, columns: Collection[str], rows: "QuerySet[Any]") -> int:
    """Empty these columns of these rows, each as the register says; returns how many rows changed."""
    model: Any = apps.get_model(row)
    table = model._meta.db_table
    ends = {column.name: column.end for column in register.columns() if column.row == row}
    if blanks_of(table):
        return blank(connection, table, list(rows.order_by().values_list("pk", flat=True)), columns=columns)
    names = [name for name in columns if ends[name] in ("blank", "erased")]
    pks = sorted(set(rows.filter(_full(model, names, ends)).order_by().values_list("pk", flat=True)))
    for start in range(0, len(pks), _AT_ONCE):
        part = model.objects.filter(pk__in=pks[start : start + _AT_ONCE])
        plain = {name: _empty(model, name) for name in names if ends[name] == "blank"}
        if plain:
            part.update(**plain)
        for name in names:
            if ends[name] == "erased":
                part.exclude(**{name: ""}).update(**{name: ANYONE})
    return len(pks)


def full_rows(row: str, columns: Collection[str], rows: "QuerySet[Any]") -> "QuerySet[Any]":
    """Those of the rows that still hold something in these columns."""
    model: Any = apps.get_model(row)
    if any(
        isinstance(how, ErasedWithin)
        for name, how in blanks_of(model._meta.db_table).items()
        if name in columns
    ):
        return rows.filter(_shown_full(row))
    ends = {column.name: column.end for column in register.columns() if column.row == row}
    return rows.filter(_full(model, list(columns), ends))


def orders_of_full(row: str, columns: Collection[str]) -> "QuerySet[Any]":
    """Orders, as a sub-query, of all rows of a model that still hold something in these columns."""
    model: Any = apps.get_model(row)
    way = way_to_order(row)
    return full_rows(row, columns, model.objects.filter(**{f"{way}__isnull": False})).order_by().values(way)


def left_to_clear(row: str, columns: Collection[str], rows: "QuerySet[Any]") -> int:
    """How many of these rows still hold something in these columns."""
    return full_rows(row, columns, rows).order_by().values("pk").distinct().count()


def _shown_full(row: str) -> Q:
    """Of what a quote or statement shows, only some places go."""
    if row == "quotes.Statement":
        return ~Q(shown__to=[])
    places = ("words", "finding__words", "finding__idea", "finding__idea_words")
    full = Q()
    for place in places:
        full |= Q(**{f"shown__{place}__isnull": False}) & ~Q(**{f"shown__{place}": ""})
    return full


def _full(model: Any, names: Iterable[str], ends: dict[str, str]) -> Q:
    full = Q()
    for name in names:
        empty = Q(**{name: _empty(model, name)})
        if ends[name] == "erased":
            empty |= Q(**{name: ANYONE})
        full |= ~empty
    return full


def _empty(model: Any, name: str) -> Any:
    field = model._meta.get_field(name)
    if isinstance(field, models.JSONField):
        return field.get_default()
    return b"" if isinstance(field, models.BinaryField) else ""


def remove_photos(photos: "QuerySet[Photo]") -> int:
    """Photos, their marks, and their files where no other row shows them."""
    pks = list(photos.values_list("pk", flat=True))
    for start in range(0, len(pks), _AT_ONCE):
        part = pks[start : start + _AT_ONCE]
        digests = set(Photo.objects.filter(pk__in=part).values_list("sha256", flat=True))
        copies = _copies(part)
        PhotoMark.objects.filter(photo__in=part).delete()
        Letter.photos.through.objects.filter(photo__in=part).delete()
        Photo.objects.filter(pk__in=part).delete()
        transaction.on_commit(partial(_drop_photos, digests, copies), robust=True)
    return len(pks)


def _copies(photos: list[int]) -> set[str]:
    """Digests of the copies with marks drawn on, of all that ever were: the history tells each. A photo whose file is lost
    is asked for no other."""
    ours = Photo.objects.filter(pk__in=photos, order__isnull=False)
    orders, digests = set(ours.values_list("order", flat=True)), set(ours.values_list("sha256", flat=True))
    told = HistoryEntry.objects.filter(order__in=orders, what__startswith="photo ")
    found = {
        facts["copy"]
        for facts in told.values_list("facts", flat=True)
        if facts.get("sha256") in digests and facts.get("copy")
    } - digests
    for photo in Photo.objects.filter(pk__in=photos, marks__isnull=False).distinct():
        try:
            digest = marked.digest_of(photo)
        except OSError:
            continue
        if digest != photo.sha256:
            found.add(digest)
    return found


def _drop_photos(digests: set[str], copies: set[str]) -> None:
    album.drop_files(digests)
    for digest in copies:
        file_store.delete(digest, folder=marked.FOLDER, suffix=marked.SUFFIX)


def remove_papers(papers: "QuerySet[Paper]", *, at: dt.datetime) -> int:
    """The files of papers; each row stays, says when its file went, and can be drawn no more."""
    rows = list(papers.filter(gone_at__isnull=True))
    files = {(row.sha256, paper_files.suffix_of(row)) for row in rows if row.sha256}
    for start in range(0, len(rows), _AT_ONCE):
        part = [row.pk for row in rows[start : start + _AT_ONCE]]
        Paper.objects.filter(pk__in=part).update(gone_at=at, sha256="", bytes_long=None)
    transaction.on_commit(partial(_drop_papers, files), robust=True)
    return len(rows)


def _drop_papers(files: set[tuple[str, str]]) -> None:
    kept = set(
        Paper.objects.filter(sha256__in={digest for digest, _ in files}).values_list("sha256", flat=True)
    )
    for digest, suffix in files:
        if digest not in kept:
            file_store.delete(digest, folder="papers", suffix=suffix)


def drop_letter_files(letters: "QuerySet[Letter]") -> None:
    """Where no mail server is set, letters that went lie in a folder: those files go after the commit."""
    folder = getattr(settings, "EMAIL_FILE_PATH", None)
    if folder:
        ids = [message.encode() for message in letters.values_list("message_id", flat=True)]
        transaction.on_commit(partial(_drop_letters, Path(folder), ids), robust=True)


def _drop_letters(folder: Path, ids: list[bytes]) -> None:
    for file in folder.glob("*.log"):
        said = file.read_bytes()
        if any(message in said for message in ids):
            file.unlink(missing_ok=True)


def papers_with_names(orders: "Iterable[int] | QuerySet[Order]") -> "QuerySet[Paper]":
    """Papers that are no bills."""
    return Paper.objects.filter(order__in=orders, gone_at__isnull=True).exclude(maker__in=MONEY_PAPERS)
