"""Data alone: what was copied is written down with its list, signed, handed over, and the shop's own copy is deleted."""

import dataclasses
import datetime as dt
import hashlib
from decimal import Decimal

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from intake.models import Order
from intake.refusals import Refused
from intake.stations import Outcome, Station
from quotes import draft_lines, drafts, payments
from quotes.proof import prove
from shop.bench import testing
from shop.branches import copies
from shop.branches.copies import Copied
from shop.demo import steps
from shop.models import DataCopy, TestRow
from tests import walk, window_pages

LISTING = f"{'a' * 64}  Photos/one.jpg\n{'b' * 64}  Photos/two.jpg\n"
COPIED = Copied(files=2, medium="Stick", encrypted=True, listing=LISTING, sample="one photo", bytes_long=4096)


@pytest.fixture
def order(bench, at):
    """At 60, with the data alone agreed for 60.00 and the post."""
    order = walk.to(walk.request(at=at), Station.QUOTE, by=bench.technician, at=at)
    draft = drafts.draft_of(order, at=at)
    draft = drafts.save_draft(
        draft=draft, lines=steps.lines_of(["Fit jumper wire"], ["WIRE-002"]), words="", promise=None, at=at
    )
    line = {"kind": "labour", "text": "Your data saved", "price": "60", "choice": "data"}
    draft = draft_lines.add(order=order, seen=draft.version, line=line, at=at)
    draft_lines.offer(order=order, seen=draft.version, choices={"data": {"on": True}}, at=at)
    steps.quote(order, by=bench.technician, at=at, lines=drafts.draft_of(order, at=at).lines)
    steps.answer(order, at=at, choice="data")
    return Order.objects.get(pk=order.pk)


def write(order, bench, at, copied=COPIED, key="c1"):
    return copies.write_copy(order=order, copied=copied, key=key, by=bench.technician, at=at)


def to_80(order, bench, at):
    if order.station == Station.REPAIR:
        walk.mend(order, by=bench.technician, at=at)
    return walk.test_and_pass(order, by=bench.technician, at=at)


def test_data_only_walks_to_its_end(order, bench, at, kinds):
    copy = write(order, bench, at)
    assert copy.listing_sha256 == hashlib.sha256(LISTING.encode()).hexdigest()
    order = to_80(order, bench, at)
    assert order.outcome == Outcome.DATA_ONLY and payments.balance(order) > 0
    letter = order.letters.get(kind="mended").text
    assert "2 files" in letter and copy.listing_sha256 in letter
    walk.pay(order, by=bench.technician, at=at)
    later = at + dt.timedelta(days=5)
    order = walk.deliver(walk.send(order, by=bench.technician, at=later), by=bench.technician, at=later)
    copy.refresh_from_db()
    assert copy.delete_on == dt.date(2026, 3, 9), "thirty days after it has left"
    assert list(copies.due_copies(dt.date(2026, 3, 8))) == [] and list(copies.due_copies(copy.delete_on)) == [
        copy
    ]
    copies.delete_copy(copy=copy, how="shred -u", by=bench.owner, at=later)
    assert list(copies.due_copies(copy.delete_on)) == []
    assert kinds(order)[-5:] == ["mended", "paid", "on_its_way", "home", "copy_deleted"]
    assert "shred -u" in order.letters.get(kind="copy_deleted").text
    assert payments.balance(order) == 0 and prove() == []


def test_data_alone_is_not_signed_without_its_copy(order, bench, at):
    order = walk.mend(order, by=bench.technician, at=at)
    TestRow.objects.filter(run__order=order).update(result="ok")
    with pytest.raises(Refused, match="what was copied"):
        testing.sign_pass(order=order, seen_version=order.version, by=bench.technician, at=at)
    order.refresh_from_db()
    assert order.station == Station.TEST


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"files": 3}, "files"),
        ({"medium": " "}, "medium"),
        ({"listing": "no list"}, "listing"),
        ({"delete_on": dt.date(2026, 2, 1)}, "delete_on"),
        ({"delete_on": dt.date(2027, 2, 3)}, "delete_on"),
    ],
)
def test_copy_that_does_not_add_up_is_refused(order, bench, at, changes, field):
    with pytest.raises(Refused) as refused:
        write(order, bench, at, dataclasses.replace(COPIED, **changes))
    assert refused.value.field == field and not DataCopy.objects.exists()


def test_copy_is_written_once_and_only_at_the_bench(order, bench, at):
    assert write(order, bench, at).pk == write(order, bench, at).pk
    order = to_80(order, bench, at)
    with pytest.raises(Refused):
        write(order, bench, at, key="late")


def test_day_that_was_chosen_stays_when_it_leaves(order, bench, at):
    copy = write(order, bench, at, dataclasses.replace(COPIED, delete_on=dt.date(2026, 2, 20)))
    order = to_80(order, bench, at)
    walk.pay(order, by=bench.technician, at=at)
    walk.send(order, by=bench.technician, at=at)
    copy.refresh_from_db()
    assert copy.delete_on == dt.date(2026, 2, 20)


def test_copy_is_deleted_once_and_not_before_the_work_is_signed(order, bench, at):
    copy = write(order, bench, at)
    given = {"copy": copy, "by": bench.technician, "at": at}
    with pytest.raises(Refused, match="not signed yet"):
        copies.delete_copy(**given, how="shred")
    to_80(order, bench, at)
    copy.order.refresh_from_db()
    with pytest.raises(Refused) as refused:
        copies.delete_copy(**given, how=" ")
    assert refused.value.field == "how"
    copies.delete_copy(**given, how="shred")
    with pytest.raises(Refused, match="deleted already"):
        copies.delete_copy(**given, how="shred")


def test_list_is_pasted_or_chosen_on_the_sheet(order, staff, post):
    fields = {"files": "2", "medium": "Stick", "encrypted": "yes", "key": "k"}
    wrong = post(order, "copy", **fields, listing=LISTING.replace("a" * 64, "a" * 60))
    text = wrong.content.decode()
    assert wrong.status_code == 422 and "Line 1 is not 64 hex digits" in text and "Photos/two.jpg" in text
    assert post(order, "copy", **fields).status_code == 422
    noise = SimpleUploadedFile("list.txt", b"\xff\xfe\x00")
    assert "no text file" in post(order, "copy", **fields, listing_file=noise).content.decode()
    right = post(order, "copy", **fields, listing_file=SimpleUploadedFile("list.txt", LISTING.encode()))
    assert right.status_code == 303
    copy = DataCopy.objects.get()
    answer = staff.get(f"/sheet/{order.code}/copy/{copy.pk}/list/")
    assert answer.content.decode() == LISTING and "attachment" in answer.headers["Content-Disposition"]


def test_pasted_windows_breaks_are_kept_as_unix_ones(order, post):
    fields = {"files": "2", "medium": "Stick", "encrypted": "no", "key": "k"}
    assert post(order, "copy", **fields, listing=LISTING.replace("\n", "\r\n")).status_code == 303
    assert DataCopy.objects.get().listing == LISTING


def test_deleting_is_written_on_the_sheet(order, bench, at, staff, post):
    copy = write(order, bench, at)
    order = to_80(order, bench, at)
    assert "Our copy is deleted" in staff.get(f"/sheet/{order.code}/").content.decode()
    assert post(order, "copy/gone", copy=copy.pk, how="").status_code == 422
    assert post(order, "copy/gone", copy=copy.pk, how="shred -u").status_code == 303
    assert "shred -u" in staff.get(f"/sheet/{order.code}/").content.decode()


def test_customer_gets_the_list_once_it_is_signed(order, bench, at, client, monkeypatch):
    for module in ("access", "window.doors", "window.sheet"):
        monkeypatch.setattr(f"shop.{module}.now", lambda: at)
    copy = write(order, bench, at)
    visitor = window_pages.let_in(order, Client())
    place = f"/your/{order.code}/copy/{copy.pk}/list/"
    assert visitor.get(place).status_code == 404
    order = to_80(order, bench, at)
    page = visitor.get(f"/your/{order.code}/").content.decode()
    told, _, fold = page[page.index("copies-name") :].partition("How to check your files")
    assert "each with its check number" in told and "sha256sum" not in told and "digest" not in told
    assert f"sha256sum -c {order.code}-sha256.txt" in fold
    letter = order.letters.get(kind="mended").text
    assert "sha256sum" not in letter and f"check number of the list itself is {copy.listing_sha256}" in letter
    assert visitor.get(place).content.decode() == LISTING
    assert client.get(place).status_code == 404
    other = walk.to(walk.request(at=at), Station.GOODS_IN, by=bench.technician, at=at)
    assert visitor.get(f"/your/{other.code}/copy/{copy.pk}/list/").status_code == 404


def test_price_of_the_data_is_what_was_agreed(order, bench, at):
    write(order, bench, at)
    order = to_80(order, bench, at)
    assert order.invoices.get().total == order.quotes.get().decision.amount >= Decimal("72.00")
