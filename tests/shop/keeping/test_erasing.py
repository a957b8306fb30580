"""A person is erased: nothing of them is left but what the written list says, and all accounts count as before."""

import datetime as dt
import json
import os

import pytest
from django.conf import settings
from django.contrib.sessions.models import Session
from django.db import connection

from intake import arrivals, drain, history, paper_files
from intake.lifecycle import Actor
from intake.models import Customer, CustomerLink, HistoryEntry, Letter, Order, Paper, Photo
from intake.refusals import Refused
from intake.stations import Station
from quotes import proof
from quotes.models import Decision, Invoice
from shop.books.keep import keep
from shop.books.recount import recount
from shop.keeping import erasing, forgetting, plans, tombstones
from shop.models import BookLine, DataCopy, RetentionPlan
from shop.pictures import choosing, marks
from shop.pictures.geometry import Mark
from tests import walk
from tests.shop.keeping.marked import MONEY, where

BY = Actor("wilma", "WO")
# The written list: what of a person's words stays when they are erased, and why.
STAYS = {
    "quotes.Invoice.to_name", "quotes.Invoice.to_lines", "quotes.Invoice.to_email", "quotes.Invoice.to_tax_number",
    "quotes.Statement.shown", "quotes.BankLine.name", "quotes.BankLine.text",  # bills and the bank's papers: while their time runs
}  # fmt: skip
# Keys that the tests made of the mark; no words of the person.
KEYS = {
    "intake.Draft.digest", "intake.Draft.form_key", "intake.Message.form_key", "quotes.BankStatement.digest", "quotes.BankLine.key",
    "quotes.QuoteDraft.form_key", "quotes.Statement.number", "shop.DataCopy.key", "shop.ComebackCause.key", "shop.OwnDamage.key",
    "shop.Cost.key", "intake.Letter.key",
}  # fmt: skip


def erased(person, at):
    return erasing.erase(customer=person.customer, why="Asked by letter", by=BY, at=at)


def test_mark_in_every_column_is_found_only_where_the_list_says(mara, at):
    assert len(mara.marks) > 50
    planted = {f"{row}.{name}" for row, name in mara.marks}
    assert planted <= where(mara.word), "each mark is there before"
    erased(mara, at)
    assert where(mara.word) - KEYS == STAYS & where(mara.word)
    assert {f"{row}.{name}" for row, name in MONEY} <= where(mara.word)


def test_bills_lose_their_names_when_their_time_is_over(mara, at):
    RetentionPlan.objects.create(version=1, since=at, days={"money": 30}, basis={"money": "Trade act 4"})
    before = proof.prove()
    erased(mara, at + dt.timedelta(days=31))
    assert where(mara.word) - KEYS == set()
    assert Invoice.objects.get().to_name == "erased"
    assert proof.prove() == before


def test_journal_holds_no_name(mara):
    """The entry of a bill names its number; the name stands on the bill alone."""
    assert "quotes.Entry.text" not in where(mara.word)


def test_nobody_else_loses_a_word(mara, pia, at):
    before = where(pia.word)
    erased(mara, at)
    assert where(pia.word) == before


def test_chain_accounts_and_books_hold(mara, at):
    keep([mara.order.pk])
    before = (proof.prove(), recount().faults, BookLine.objects.values().get())
    erased(mara, at)
    assert (proof.prove(), recount().faults, BookLine.objects.values().get()) == before
    assert history.verify() is None


def test_files_of_photos_and_papers_go_and_bills_stay(mara, at, django_capture_on_commit_callbacks):
    bill = Paper.objects.get(maker="invoice")
    form = Paper.objects.get(maker="shipping_form")
    for paper in (bill, form):
        paper_files.content(paper, at=at)
    assert len([*settings.MEDIA_ROOT.rglob("*.jpg")]) > 0
    with django_capture_on_commit_callbacks(execute=True):
        erased(mara, at)
    assert [*settings.MEDIA_ROOT.rglob("*.jpg")] == []
    assert not Photo.objects.exists()
    assert len([*settings.MEDIA_ROOT.rglob("*.pdf")]) == 1
    bill.refresh_from_db()
    form.refresh_from_db()
    assert paper_files.content(bill, at=at)
    with pytest.raises(paper_files.PaperMissing, match="was removed on 2026-02-02"):
        paper_files.content(form, at=at)


def test_copies_with_marks_of_before_go_too_and_no_word_of_a_mark_stays(
    mara, bench, at, django_capture_on_commit_callbacks
):
    photo = Photo.objects.get(order=mara.order, role="fault")
    said = marks.Said(words="zqa by the pad", reading=None)
    for key, x in (("first", 300), ("second", 700)):
        ring = Mark("ring", x, 500, x + 90, 500)
        row = marks.add(photo=photo, mark=ring, said=said, key=key, by=bench.owner, at=at)
    marks.remove(photo=photo, mark_id=row.pk, by=bench.owner, at=at)
    marks.put_back(photo=photo, mark_id=row.pk, by=bench.owner, at=at)
    choosing.describe(photo=photo, role="fault", caption="zqa once more", by=bench.owner, at=at)
    assert len([*(settings.MEDIA_ROOT / "marked").rglob("*.jpg")]) > 1
    with django_capture_on_commit_callbacks(execute=True):
        erased(mara, at)
    assert [*settings.MEDIA_ROOT.rglob("*.jpg")] == []
    assert "intake.HistoryEntry.facts" not in where("zqa by the pad") | where("zqa once more")


def test_photo_that_another_order_shows_keeps_its_file(mara, pia, at, django_capture_on_commit_callbacks):
    theirs, mine = Photo.objects.get(order=pia.order), Photo.objects.get(order=mara.order)
    Photo.objects.filter(pk=theirs.pk).update(sha256=mine.sha256)
    with django_capture_on_commit_callbacks(execute=True):
        erased(mara, at)
    assert (settings.MEDIA_ROOT / "photos" / mine.sha256[:2] / f"{mine.sha256}.jpg").exists()


def test_links_are_revoked_and_waiting_letters_go_no_more(mara, at):
    letter = Letter.objects.filter(order=mara.order).first()
    Letter.objects.filter(pk=letter.pk).update(state="pending", sent_at=None)
    erased(mara, at)
    assert not CustomerLink.objects.filter(order=mara.order, revoked_at__isnull=True).exists()
    letter.refresh_from_db()
    assert (letter.state, letter.to, letter.text) == ("closed", "", "")


@pytest.mark.parametrize(
    ("kind", "shared", "stays"),
    [("request_resume", False, False), ("request_resume", True, True), ("sign_in_news", False, True), ("house_day", False, True)],
)  # fmt: skip
def test_letters_of_no_order_go_unless_they_are_the_shops_or_somebody_elses_too(
    mara, pia, at, kind, shared, stays
):
    if shared:
        Customer.objects.filter(pk=pia.customer.pk).update(email=mara.customer.email.upper())
    letter = Letter.objects.create(
        kind=kind, key="apart", to=mara.customer.email, subject="s", text="t", html="h", message_id="<apart@x>",
        created_at=at, next_at=at,
    )  # fmt: skip
    erased(mara, at)
    letter.refresh_from_db()
    assert (letter.text, letter.state) == (("t", "pending") if stays else ("", "closed"))


def test_paper_that_is_being_drawn_while_its_person_is_erased_leaves_no_file(mara, at, monkeypatch):
    paper = Paper.objects.filter(maker="shipping_form").get()
    drawn = paper_files._draw

    def slow(row):
        made = drawn(row)
        erased(mara, at)
        return made

    monkeypatch.setattr(paper_files, "_draw", slow)
    before = {*settings.MEDIA_ROOT.rglob("*.pdf")}
    with pytest.raises(paper_files.PaperMissing, match="was removed"):
        paper_files.content(paper, at=at)
    paper.refresh_from_db()
    assert paper.sha256 == ""
    assert {*settings.MEDIA_ROOT.rglob("*.pdf")} <= before


def test_letter_that_was_emptied_is_not_sent_again(mara, at):
    letter = Letter.objects.filter(order=mara.order).first()
    Letter.objects.filter(pk=letter.pk).update(state="held", sent_at=None)
    erased(mara, at)
    assert not drain.send_again(letter, by="wilma", at=at)


def test_address_of_two_goes_with_the_second_of_them(mara, pia, at):
    address = Order.objects.get(pk=mara.order.pk).return_address
    Order.objects.filter(pk=pia.order.pk).update(return_address=address)
    erased(mara, at)
    address.refresh_from_db()
    assert address.street != "erased"
    erased(pia, at)
    address.refresh_from_db()
    assert (address.street, address.city) == ("erased", "")


def test_comeback_after_the_erasure_asks_who_sent_it_anew(mara, bench, at):
    erased(mara, at)
    again = arrivals.start_comeback(
        order=Order.objects.get(pk=mara.order.pk), words="Hums again", form_key="again", by=bench.owner, at=at
    )
    assert (again.customer, again.return_address) == (None, None)


def test_history_says_kinds_and_counts_and_no_word(mara, at):
    row = erased(mara, at)
    entry = HistoryEntry.objects.get(what="person erased")
    assert entry.facts["blanked"]["Customer"] == 1
    assert entry.facts["blanked"] == row.blanked
    assert mara.word not in json.dumps(entry.facts)
    assert row.kept["Invoice"] == ["for good", "no reason was named"]


def test_open_order_is_refused_and_named(bench, at):
    order = walk.to(walk.request(at=at), Station.REPAIR, by=bench.owner, at=at)
    with pytest.raises(Refused, match=f"Order {order.code} is still open"):
        erasing.erase(customer=order.customer, why="Asked", by=BY, at=at)
    assert order.customer.name == "Mara Ellwick"


def test_copy_of_their_data_must_be_deleted_first(mara, at):
    DataCopy.objects.update(deleted_at=None, deleted_how="")
    with pytest.raises(Refused, match=f"copy of the data of order {mara.order.code} is not deleted"):
        erased(mara, at)


def test_reason_must_be_said(mara, at):
    with pytest.raises(Refused, match="Write why"):
        erasing.erase(customer=mara.customer, why=" ", by=BY, at=at)


def test_second_time_is_refused(mara, at):
    erased(mara, at)
    with pytest.raises(Refused, match="erased already"):
        erased(mara, at)


def test_dry_list_is_what_then_goes(mara, at):
    told = erasing.outlook(mara.customer, at=at)
    assert told.why_not == []
    done = erased(mara, at).blanked
    assert set(told.blanked) == set(done)
    assert erasing.outlook(mara.customer, at=at).blanked == {}


def test_tombstone_brings_the_erasure_back_after_a_restore(mara, at, django_capture_on_commit_callbacks):
    with django_capture_on_commit_callbacks(execute=True):
        erased(mara, at)
    lines = tombstones.place().read_text().splitlines()
    assert len(lines) == 1
    assert mara.word not in lines[0]
    Customer.objects.filter(pk=mara.customer.pk).update(
        name=f"{mara.word} again", email="x@example.com", erased_at=None
    )
    assert tombstones.apply(at=at) == 1
    assert tombstones.apply(at=at) == 0
    mara.customer.refresh_from_db()
    assert (mara.customer.name, mara.customer.email) == ("erased", "")
    assert history.verify() is None


def test_tombstone_leaves_a_person_alone_who_came_later_under_the_same_number(mara, at):
    tombstones.keep(mara.customer.pk, at=at - dt.timedelta(days=1), digest="")
    assert tombstones.apply(at=at) == 0


def test_tombstone_after_one_cut_short_is_read(at):
    tombstones.place().write_text('{"customer": 1, "at": "2026-0')
    tombstones.keep(2, at=at, digest="x")
    assert tombstones.kept() == [(2, at)]


def test_tombstone_that_a_crash_or_a_full_disk_took_is_written_the_next_night(mara, at):
    row = erased(mara, at)
    assert tombstones.kept() == [], "nothing is committed in this test, so that no line was written"
    for _ in range(2):
        forgetting.forget(at=at)
        assert tombstones.kept() == [(mara.customer.pk, row.at)]


def test_tombstone_that_cannot_be_written_now_undoes_nothing_and_shows_no_fault(
    mara, at, monkeypatch, django_capture_on_commit_callbacks
):
    monkeypatch.setattr(tombstones, "keep", lambda *_, **__: os.open("/nowhere/erased.list", os.O_WRONLY))
    with django_capture_on_commit_callbacks(execute=True):
        erased(mara, at)
    mara.customer.refresh_from_db()
    assert mara.customer.erased_at == at


def test_tombstone_cut_short_by_a_crash_is_passed_over(mara, at):
    tombstones.keep(mara.customer.pk, at=at, digest="")
    tombstones.place().write_text(tombstones.place().read_text() + '{"customer": 4')
    assert [customer for customer, _ in tombstones.kept()] == [mara.customer.pk]


def test_number_of_a_person_is_never_given_twice(db, at):
    last = Customer.objects.create(name="x", created_at=at)
    pk = last.pk
    last.delete()
    assert Customer.objects.create(name="y", created_at=at).pk > pk
    assert connection.vendor in ("sqlite", "postgresql")


def test_decision_keeps_what_was_agreed(mara, at):
    before = Decision.objects.values("choice", "digest", "amount", "consents").get()
    erased(mara, at)
    assert Decision.objects.values("choice", "digest", "amount", "consents").get() == before
    assert Decision.objects.get().typed_name == "erased"


def test_plan_names_the_reason_by_which_bills_are_kept(bench, at):
    with pytest.raises(Refused, match="Name the law"):
        plans.change_plan(days={"money": 3650}, basis={}, seen_version=0, by=bench.owner, at=at)
    new = plans.change_plan(
        days={"money": 3650}, basis={"money": "Act 4"}, seen_version=0, by=bench.owner, at=at
    )
    assert (new.version, plans.current().basis) == (1, {"money": "Act 4"})
    with pytest.raises(Refused, match="Only the owner"):
        plans.change_plan(days={}, basis={}, seen_version=1, by=bench.technician, at=at)


def test_what_was_kept_at_an_ended_sign_in_goes_and_staff_stay_in(mara, bench, at, client):
    client.force_login(bench.technician)
    session = client.session
    session["kept_post"] = {
        "path": f"/sheet/{mara.order.code}/write/",
        "fields": [["text", mara.word]],
        "files": 0,
    }
    session.save()
    erasing.erase(customer=mara.order.customer, why="asked", by=BY, at=at)
    assert "kept_post" not in Session.objects.get().get_decoded()
    assert client.get("/bench/").status_code == 200
