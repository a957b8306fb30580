"""The demonstration's world, made through the real actions: money and minutes as its invented table says."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest
from django.conf import LazySettings
from django.core.exceptions import ImproperlyConfigured
from django.db.models import F, Sum

from intake import history
from intake.models import Letter, Order
from intake.stations import Station
from quotes import billing, decisions, deposits, known_good, proof
from quotes.bank import importing
from quotes.bank.matching import Line, propose
from quotes.bank.open_bills import open_bills
from quotes.list_words import likely_doubles
from quotes.models import Closing, Entry, ListWord, Lot, Part, Reading, Statement
from quotes.owed import in_dispute
from quotes.receivables import bills_left
from quotes.word_uses import entries
from shop.bench.mending import forgotten
from shop.bench.soaks import soaks_running
from shop.demo import bank, good_shelf, stage, world
from shop.demo.base import set_up_shop
from shop.models import BagCount, UnlockCode, WorkSession
from shop.seen.panel import panel

AS_OF = datetime(2026, 2, 27, 18, 0, tzinfo=UTC)
# Invented demo world: billed, paid, minutes (all kinds together) of the named orders.
TABLE = {
    "mara": ("112.32", "112.32", 87),
    "tobin": ("129.16", "129.16", 59),
    "ines": ("385.44", "385.44", 250),
    "dov": ("241.72", "241.72", 197),
    "lenka": ("12.00", "12.00", 137),
    "petra": ("12.00", "12.00", 62),
    "osei": ("0", "0", 41),
    "hollis": ("0", "0", 45),
    "yusra": ("0", "0", 38),
    "garrick": ("128.48", "128.48", 112),
    "wendeline": ("0", "0", 65),
}


def _sums(order: Order) -> tuple[Decimal, Decimal, int]:
    billed = order.invoices.aggregate(sum=Sum("total"))["sum"] or Decimal(0)
    paid = order.payments.aggregate(sum=Sum("amount"))["sum"] or Decimal(0)
    return billed, paid, order.work.aggregate(sum=Sum("minutes"))["sum"] or 0


def test_world_money_stock_and_chain_are_true(db: None, settings: LazySettings) -> None:
    settings.DEMO = True
    named = world.build(as_of=AS_OF)
    for name, (billed, paid, minutes) in TABLE.items():
        assert (name, *_sums(named[name])) == (name, Decimal(billed), Decimal(paid), minutes)
    assert not Letter.objects.filter(kind="backup_late").exists(), "nobody need keep a demonstration"
    batch = Order.objects.filter(customer__name="Stallmere Phones")
    assert sum(_sums(order)[0] for order in batch) == Decimal("243.00")
    assert sum(billing.balance(order) for order in batch) == Decimal("243.00")
    assert sum(_sums(order)[2] for order in batch) == 85 + 126 + 40 + 18
    for part in Part.objects.all():
        sums = part.moves.aggregate(hand=Sum("on_hand_change"), aside=Sum("reserved_change"))
        assert (part.number, part.on_hand, part.reserved) == (
            part.number,
            sums["hand"] or 0,
            sums["aside"] or 0,
        )
    assert Order.objects.count() >= 40
    assert not Order.objects.filter(created_at__gt=AS_OF).exists()
    assert history.verify() is None
    assert proof.prove() == []
    _shows_the_money(named)
    _shows_the_readings(named)
    _shows_the_bench(named)
    _shows_the_branches(named)
    _files_of_the_bank_fit()


def _shows_the_money(named: dict[str, Order]) -> None:
    ways = named["orla"].quotes.get().shown
    assert [row["choice"] for row in ways["choices"]] == ["mend", "data", "clean", "back", "recycle"]
    assert [row["choices"] for row in ways["extras"]] == [["mend"]]
    first, second = named["corin"].quotes.order_by("revision")
    assert {row["kind"] for row in second.shown["changes"]} == {"same", "added", "changed", "gone"}
    assert sum(Decimal(row["change"]) for row in second.shown["changes"]) == second.total - first.total
    waits, came = named["belle"], named["jory"]
    assert (deposits.wanted(waits), billing.deposit_held(waits)) == (40, 0)
    assert (deposits.wanted(came), billing.deposit_held(came)) == (0, 40)
    assert {waits.station, came.station} == {Station.REPAIR}
    assert decisions.agreed_quote(named["nell"]) != decisions.open_quote(named["nell"]) is not None
    owed = {name: billing.balance(named[name]) for name in ("credited", "paid_twice", "given_up", "garrick")}
    assert owed["credited"] == owed["given_up"] == 0 and owed["paid_twice"] < 0
    assert owed["garrick"] == in_dispute(named["garrick"]) == Decimal("128.48")
    late = {bill.days_late(AS_OF.date()) > 0: bill for bill in bills_left(currency="USD") if bill.left > 0}
    assert set(late) == {True, False}
    sent = Statement.objects.order_by("pk").values_list("month", "total")
    assert list(sent) == [(date(2025, 12, 1), Decimal("154.20")), (date(2026, 1, 1), Decimal("216.50"))]
    assert Closing.objects.get().upto == date(2026, 1, 31)


def _shows_the_readings(named: dict[str, Order]) -> None:
    before, after = named["mara"].readings.order_by("at")
    assert [(row.verdict, row.proposed, row.expected_n) for row in (before, after)] == [
        ("open", "open", 7), ("ok", "ok", 7),
    ]  # fmt: skip
    assert (before.expected_from, before.meter, before.revision) == ("own good boards, n=7", "Blue", "R3")
    for role, reading in (("fault", before), ("after", after)):
        photo = named["mara"].photos.get(role=role)
        assert photo.shown and photo.marks.get(kind="number").reading == reading
        assert photo.marks.get(kind="number").number == 1 and photo.marks.count() == 2
    assert not Reading.objects.filter(board="").exists()
    assert Reading.objects.filter(expected_n__gte=known_good.FEWEST).count() > 60
    overruled = Reading.objects.exclude(proposed=F("verdict"))
    assert {row.order for row in overruled} == {named["osei"], named["begun"]}
    assert all(row.verdict_why.startswith("Overruled: ") for row in overruled)
    assert Reading.objects.get(superseded_by__isnull=False).order == named["begun"]
    merged = ListWord.objects.get(merged_into__isnull=False)
    assert (merged.name, merged.merged_into and merged.merged_into.name) == ("Mic bias", "Microphone bias")
    for kind, pair in (
        ("point", ("chargerin", "chargerinput")),
        ("fault", ("connectordamage", "connectordamaged")),
    ):
        assert [row[:2] for row in likely_doubles(entry.key[2] for entry in entries(kind))] == [pair]
    told = panel(named["looked_at"])
    assert (
        told["suggested"] and len(told["like"]) == 5 and told["hits"].left_out.n > 10 and told["stood"].n > 5
    )


def _shows_the_bench(named: dict[str, Order]) -> None:
    running = {row.by.username: row for row in WorkSession.objects.filter(ended_at__isnull=True)}
    assert (running["ansel"].order, running["pim"].order) == (named["begun"], named["left_running"])
    assert forgotten(list(running.values()), AS_OF) == [running["pim"]]
    mended = WorkSession.objects.get(mended_at__isnull=False)
    assert (mended.minutes, mended.order) == (40, named["looked_at"])
    assert named["looked_at"].work.filter(by_hand=True).exclude(note="").exists()
    [soak] = soaks_running(AS_OF)
    assert (soak.order, soak.over, soak.ends_at) == (named["soaking"], False, AS_OF + timedelta(minutes=18))
    rows = soak.row.run.rows
    assert rows.filter(result="cannot", reason="Without your code").count() > 3
    assert rows.get(before__isnull=False).taken and rows.filter(result="").count() == 2
    assert sorted(rows.exclude(mode="").exclude(reading="").values_list("mode", flat=True)) == [
        "amps",
        "amps",
        "diode",
    ]
    signed = named["tobin"].test_runs.get()
    assert signed.passed and signed.rows.filter(result="cannot").count() > 3
    count = BagCount.objects.get()
    assert count.expected == count.found and not count.missing and count.at < AS_OF - timedelta(hours=24)


def _shows_the_branches(named: dict[str, Order]) -> None:
    copy = named["dov"].data_copies.get()
    assert (copy.files, copy.bytes_long, copy.listing.count("\n")) == (212, 14_200_000_000, 212)
    assert copy.delete_on == AS_OF.date() and copy.deleted_at is None
    tested = named["dov"].test_runs.get().rows
    assert (
        tested.get(symptom=True).result == "bad" and tested.filter(result="ok").count() == tested.count() - 1
    )
    gone = named["dov"].unlock_codes.get()
    assert bytes(gone.sealed) == b"" and gone.erased_at and gone.showings.get().reason
    held = UnlockCode.objects.get(erased_at__isnull=True)
    assert (
        held.order == named["begun"]
        and held.order.lock_wish == "ask"
        and held.sealed
        and not held.showings.exists()
    )
    assert named["wendeline"].comeback_causes.get().cause == "work"
    assert named["garrick"].slip_ends.get().how == "form"
    assert named["yusra"].slips.filter(reason="quarantine", ended_at__isnull=True).exists()
    harmed = named["harmed"]
    assert (harmed.outcome, harmed.station, harmed.invoices.exists()) == (
        "own damage",
        Station.GOODS_OUT,
        False,
    )
    assert Lot.objects.get(stopped_at__isnull=False).part.number == "CHG-L22"


def _files_of_the_bank_fit() -> None:
    """What the demonstration gives away to be taken in can be read whole, and most of it finds its bill."""
    bills = open_bills("USD")
    for data in bank.draw(at=AS_OF).values():
        found = importing.look(data=data)
        came = [row for row in found.new if row.amount > 0]
        sure = [row for row in came if propose(Line(row.amount, row.name, row.reference, row.text), bills)]
        assert len(found.new) >= 4 and len(sure) >= len(came) - 1


@pytest.mark.parametrize("moment", ["2026-03-01T02:00", "2024-02-29T12:00", "2025-11-02T07:30"])
def test_world_can_be_made_on_any_day(db: None, settings: LazySettings, moment: str) -> None:
    """The first of a month that is the last in the shop's zone, 29 February, and the hour in which its clocks go back."""
    settings.DEMO = True
    at = datetime.fromisoformat(moment).replace(tzinfo=UTC)
    named = world.build(as_of=at)
    assert proof.prove() == []
    assert Statement.objects.filter(month__month=Closing.objects.get().upto.month).exists()
    assert not Entry.objects.filter(at__gt=at).exists()
    assert billing.balance(named["mara"]) == 0 and sum(_sums(named["ines"])[:2]) == 2 * Decimal("385.44")


def test_world_is_refused_outside_the_demonstration(db: None, settings: LazySettings) -> None:
    settings.DEMO = False
    with pytest.raises(ImproperlyConfigured):
        world.build(as_of=AS_OF)


def test_world_has_a_shelf_of_good_boards_that_judges(db: None, settings: LazySettings) -> None:
    settings.DEMO = True
    owner, packer = set_up_shop(at=AS_OF)
    good_shelf.fill(stage.World(owner, packer, AS_OF))
    judged = [
        known_good.judge(
            board=good_shelf.BOARD, revision="", point="microphone bias", state="", mode="diode",
            polarity="red on ground", meter=meter, value=Decimal(value), special="",
        )
        for meter, value in (("Blue", "0.452"), ("Red", "0.456"), ("Red", "0.44"))
    ]  # fmt: skip
    assert [(one.word, one.n) for one in judged] == [("ok", 7), ("ok", 7), ("low", 7)]
