"""What is over its time goes by the plan, and the dry list says the same beforehand."""

import datetime as dt

import pytest
from django.core.management import call_command
from django.test import TestCase

from intake import drain, history
from intake.models import Letter, Order, Paper, Photo
from quotes.models import Decision, Dispute, Finding, Invoice, Payment
from shop.keeping import forgetting
from shop.keeping.kinds import KINDS, SETTABLE
from shop.models import DataCopy, RetentionPlan, Sight


def later(at, days):
    return at + dt.timedelta(days=days)


def plan(at, **days):
    every = {kind.name: None for kind in SETTABLE}
    RetentionPlan.objects.create(
        version=RetentionPlan.objects.count() + 1, since=at, days={**every, **days}, basis={}
    )


@pytest.mark.parametrize("kind", ["photos", "words", "bench", "papers", "letters", "senders"])
def test_kind_goes_after_its_days_and_not_a_day_before(mara, at, kind):
    plan(at, **{kind: 30})
    assert forgetting.forget(at=later(at, 29)) == {kind: 0}
    due = {row.name: row for row in forgetting.dry(at=later(at, 31))}
    assert due[kind].count > 0
    assert all(row.count == 0 for name, row in due.items() if name != kind)
    assert forgetting.forget(at=later(at, 31))[kind] > 0
    assert all(row.count == 0 for row in forgetting.dry(at=later(at, 31)))
    assert forgetting.forget(at=later(at, 31)) == {kind: 0}
    assert history.verify() is None


def test_each_kind_empties_its_own(mara, at):
    plan(at, photos=30)
    forgetting.forget(at=later(at, 31))
    assert not Photo.objects.exists()
    assert Order.objects.get().words
    plan(at, words=30)
    forgetting.forget(at=later(at, 31))
    order = Order.objects.get()
    assert (order.words, order.idea, order.in_the_box) == ("", "", [])
    assert Finding.objects.get().words, "what the bench wrote is another kind"
    plan(at, bench=30, senders=30)
    forgetting.forget(at=later(at, 31))
    assert Finding.objects.get().words == ""
    assert Decision.objects.get().agent == ""
    assert Decision.objects.get().typed_name != "erased"


def test_open_order_keeps_its_words(bench, at):
    from tests import walk  # noqa: PLC0415 -- only here

    order = walk.request(at=at)
    plan(at, words=30, photos=30, papers=30)
    forgetting.forget(at=later(at, 900))
    order.refresh_from_db()
    assert order.words
    assert not Paper.objects.filter(gone_at__isnull=False).exists()


def test_files_of_letters_go_with_their_texts(mara, at, settings, tmp_path):
    """Where no mail server is set, each letter that went lies whole in a folder."""
    settings.EMAIL_BACKEND = "django.core.mail.backends.filebased.EmailBackend"
    settings.EMAIL_FILE_PATH = str(tmp_path / "letters")
    (tmp_path / "letters").mkdir()
    Letter.objects.filter(state="sent").update(state="pending", sent_at=None, next_at=at)
    drain.drain(at=at)
    assert list((tmp_path / "letters").glob("*.log"))
    plan(at, letters=30)
    with TestCase.captureOnCommitCallbacks(execute=True):
        forgetting.forget(at=later(at, 31))
    assert not list((tmp_path / "letters").glob("*.log"))


def test_letter_that_waits_is_not_emptied(mara, at):
    letter = Letter.objects.filter(order=mara.order).first()
    Letter.objects.filter(pk=letter.pk).update(state="held", sent_at=None)
    plan(at, letters=30)
    forgetting.forget(at=later(at, 31))
    letter.refresh_from_db()
    assert letter.text


def test_bills_go_only_where_the_owner_named_days(mara, at):
    plan(at)
    forgetting.forget(at=later(at, 9000))
    assert Invoice.objects.get().to_name != "erased"
    plan(at, money=3650)
    assert forgetting.forget(at=later(at, 3651))["money"] > 0
    assert Invoice.objects.get().to_name == "erased"


def test_bill_that_is_not_paid_keeps_its_name(mara, bench, at):
    paid = Payment.objects.filter(order=mara.order).first()
    Dispute.objects.create(payment=paid, key="d", amount=paid.amount, at=at, by=bench.owner)
    plan(at, money=3650)
    due = {row.name: row for row in forgetting.dry(at=later(at, 3651))}
    forgetting.forget(at=later(at, 3651))
    assert Invoice.objects.get().to_name != "erased"
    assert "Invoice" not in due["money"].rows


def test_people_are_erased_when_their_time_is_over(mara, at):
    plan(at, contact=700)
    assert forgetting.forget(at=later(at, 699)) == {"contact": 0}
    assert forgetting.forget(at=later(at, 701)) == {"contact": 1}
    mara.customer.refresh_from_db()
    assert mara.customer.name == "erased"


def test_people_who_cannot_go_yet_bar_nobody_after_them(mara, pia, at, monkeypatch):
    DataCopy.objects.filter(order=mara.order).update(deleted_at=None)
    monkeypatch.setattr(forgetting, "PORTION", 1)
    plan(at, contact=700)
    assert forgetting.forget(at=later(at, 701)) == {"contact": 1}
    pia.customer.refresh_from_db()
    assert pia.customer.name == "erased"


def test_sights_go(bench, mara, at):
    Sight.objects.create(person=bench.owner, order=mara.order, what="sheet", day=at.date(), first_at=at)
    plan(at, sights=30)
    assert forgetting.forget(at=later(at, 31)) == {"sights": 1}


def test_command_lists_and_lets_go(mara, at, capsys):
    plan(at, words=30)
    call_command("forget", "--dry")
    told = capsys.readouterr().out
    assert mara.order.code in told
    assert "Photos: kept for good." in told
    assert Order.objects.get().words
    call_command("forget")
    assert "Let go: words" in capsys.readouterr().out
    assert Order.objects.get().words == ""
    call_command("forget")
    assert capsys.readouterr().out == "Nothing was over its time.\n"
    call_command("forget", "--again")
    assert capsys.readouterr().out == "Erased again: 0.\n"


def test_every_kind_says_what_it_does():
    assert all(kind.title and kind.after and kind.does.endswith(".") for kind in KINDS)
