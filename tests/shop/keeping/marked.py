"""A person with a mark of their own in every column that can hold their words."""

import datetime as dt
import io
import json
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from django.apps import apps
from django.db import connection, models, transaction
from PIL import Image

from intake import album, letters, questions
from intake.append_only import arm, blanks_of, disarm
from intake.models import Customer, Draft, LetterTry, Order, Person, Photo, Slip
from intake.request_answers import AddressAnswer
from intake.stations import Station
from quotes import billing
from quotes.models import BankLine, BankMatch, BankStatement, QuoteDraft, Statement, TradeAccount
from shop.keeping import register
from shop.keeping.places import rows_of, scope_of
from shop.models import (
    CodeShowing,
    ComebackCause,
    Cost,
    DataCopy,
    Override,
    OwnDamage,
    PhotoMark,
    SlipEnd,
    StationDraft,
    UnlockCode,
)
from tests import walk

MONEY = {("quotes.Invoice", "to_name"), ("quotes.Invoice", "to_lines"), ("quotes.Invoice", "to_tax_number"),
         ("quotes.Invoice", "to_email"), ("quotes.Statement", "shown"), ("quotes.BankLine", "name"),
         ("quotes.BankLine", "text")}  # fmt: skip
NOT_PLANTED = {"intake.Letter.to"}


@dataclass
class Marked:
    """`marks`: what was planted, by row and column. `word` stands in all that went through the actions."""

    word: str
    customer: Customer
    order: Order
    marks: dict[tuple[str, str], str] = field(default_factory=dict)


def marked_person(word: str, *, by: Person, at: dt.datetime) -> Marked:
    """Everything a person leaves behind, through the actions and then by hand where no action was asked."""
    address = AddressAnswer(
        name=f"{word} Name",
        street=f"3 {word} Lane",
        city=f"{word}ton",
        area="ZZ",
        postcode=word,
        country="US",
    )
    order = walk.request(
        at=at, name=f"{word} Name", email=f"{word}@example.com", phone=f"555-01{word}", serial=f"{word}-0417",
        imei=f"{word}352", words=f"Rings, {word}.", idea=f"The {word}", before_words=f"Dropped {word}",
        address=address, in_the_box=["Phone", f"{word} sleeve"],
    )  # fmt: skip
    picture = io.BytesIO()
    Image.new("RGB", (60, 40), (hash(word) % 255, 90, 80)).save(picture, "JPEG")
    album.add_photo(
        content=picture.getvalue(),
        role="fault",
        by="x",
        at=at,
        order=order,
        caption=f"{word} side",
        shown=True,
    )
    questions.ask(order=order, text=f"When, {word}?", form_key=f"{word}-ask", at=at)
    walk.to(order, Station.HOME, by=by, at=at)
    assert billing.balance(order) == 0
    order.refresh_from_db()
    _by_hand(word, order, by, at)
    assert order.customer is not None
    person = Marked(word, order.customer, order)
    _plant(person)
    _before_the_order(word, person.customer.email, at)
    return person


def _by_hand(word: str, order: Order, by: Person, at: dt.datetime) -> None:
    """A row in every table that the walk leaves empty."""
    when: dict[str, Any] = {"at": at, "by": by}
    assert order.customer is not None
    account, _ = TradeAccount.objects.get_or_create(
        customer=order.customer, defaults={"changed_at": at, "changed_by": by}
    )
    head = order.invoices.get().letterhead
    shown = {"to": [f"{word} Name"], "tax_number": word, "lines": []}
    Statement.objects.create(
        number=f"X-{word}", account=account, month=at.date(), letterhead=head, currency="USD", total=Decimal(0), shown=shown, **when
    )  # fmt: skip
    QuoteDraft.objects.get_or_create(order=order, defaults={"form_key": f"{word}-draft", "changed_at": at})
    StationDraft.objects.create(order=order, station=70, fields={"note": word}, by=by, changed_at=at)
    DataCopy.objects.create(
        order=order, key=word, files=1, medium=word, listing=word, listing_sha256="0" * 64, delete_on=at.date(),
        sample=word, deleted_at=at, deleted_how=word, **when,
    )  # fmt: skip
    ComebackCause.objects.create(order=order, key=word, cause="new", words=word, covered=False, **when)
    OwnDamage.objects.create(order=order, key=word, words=word, offered=word, **when)
    slip = Slip.objects.create(order=order, reason="quarantine", started_at=at, started_by="x", ended_at=at)
    SlipEnd.objects.create(order=order, slip=slip, how="safe", words=word, **when)
    Override.objects.create(order=order, reason=word, owed=Decimal(1), **when)
    Cost.objects.create(order=order, key=word, what=word, amount=Decimal(1), **when)
    code = UnlockCode.objects.create(
        order=order, shape="digits", sealed=b"", key_name="k1", given_at=at, given_by="x", erased_at=at, erased_why="Gone"
    )  # fmt: skip
    CodeShowing.objects.create(code=code, reason=word, until=at, **when)
    _bank(word, order, by, at)
    photo = Photo.objects.get(order=order, role="fault")
    PhotoMark.objects.create(photo=photo, key=word, kind="ring", x=1, y=1, to_x=9, to_y=9, words=word, **when)
    Draft.objects.create(
        digest=word.ljust(64, "0"), answers={"a": word}, started_at=at, changed_at=at, expires_at=at, form_key=f"{word}-d", order=order
    )  # fmt: skip
    letter = order.letters.first()
    assert letter is not None
    LetterTry.objects.create(letter=letter, number=90, started_at=at, answer=word, result="accepted")
    order.letters.update(state="sent", sent_at=at)


def _before_the_order(word: str, email: str, at: dt.datetime) -> None:
    """A letter from before there was an order."""
    with transaction.atomic():
        letters.post(
            order=None, kind="request_resume", key=f"resume:{word}", to=email,
            context={"link_address": f"https://bench.example/{word}", "until": at}, at=at, with_link=False,
        )  # fmt: skip


def _bank(word: str, order: Order, by: Person, at: dt.datetime) -> None:
    statement = BankStatement.objects.create(
        digest=word.ljust(64, "0"), form="csv", file_name="a.csv", currency="USD", at=at, by=by
    )
    line = BankLine.objects.create(
        statement=statement, key=word, day=at.date(), amount=Decimal(1), name=word, text=word
    )
    BankMatch.objects.create(line=line, payment=order.payments.first(), why="Fits", at=at, by=by)


def _plant(person: Marked) -> None:
    """A mark of its own in every column that may hold words of theirs."""
    scope = scope_of(person.customer)
    for number, column in enumerate(register.columns()):
        if column.cls not in register.PERSONAL or column.end == "keep":
            continue
        model: Any = apps.get_model(column.row)
        rows = rows_of(column.row, scope)
        assert rows.exists(), f"no row of {column.row} to plant a mark in"
        mark = f"{person.word}m{number:03d}"
        _write(model, column.name, list(rows.values_list("pk", flat=True)), mark)
        person.marks[column.row, column.name] = mark
    person.customer.refresh_from_db()
    person.order.refresh_from_db()


def _write(model: Any, name: str, pks: list[int], mark: str) -> None:
    field = model._meta.get_field(name)
    value: Any = f"{mark}@example.com" if isinstance(field, models.EmailField) else mark
    if isinstance(field, models.JSONField):
        value = [mark] if field.get_default() == [] else {"said": mark}
        if name == "contents":
            value = [{"what": mark, "announced": True, "here": True, "packed": True}]
    table, guarded = model._meta.db_table, bool(blanks_of(model._meta.db_table))
    if guarded:
        disarm(connection, table)
    for pk in pks:
        row = model.objects.get(pk=pk)
        if name == "shown":
            value = _shown(json.loads(json.dumps(row.shown)), mark)
        model.objects.filter(pk=pk).update(**{name: value})
    if guarded:
        arm(connection, table)


def _shown(shown: dict[str, Any], mark: str) -> dict[str, Any]:
    if "finding" in shown:
        shown["finding"] |= {"words": mark, "idea": mark, "idea_words": mark}
        return {**shown, "words": mark}
    return {**shown, "to": [mark], "tax_number": mark}


def every_text() -> dict[str, list[str]]:
    """All that stands in any column with words of any table: `table.column` to its values as text."""
    found: dict[str, list[str]] = {}
    for model in apps.get_models(include_auto_created=True):
        for column in model._meta.concrete_fields:
            if isinstance(column, models.CharField | models.TextField | models.JSONField):
                values = model.objects.values_list(column.name, flat=True)
                found[f"{model._meta.label}.{column.name}"] = [
                    v if isinstance(v, str) else json.dumps(v, ensure_ascii=False)
                    for v in values
                    if v is not None
                ]
    return found


def where(word: str) -> set[str]:
    """The columns in which a word stands."""
    return {name for name, values in every_text().items() if any(word in value for value in values)}
