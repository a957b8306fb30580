"""A device that came back: its cause decides who pays; what is ours costs the customer nothing to the very end."""

import datetime as dt
from decimal import Decimal

import pytest

from intake import arrivals
from intake.models import Order
from intake.refusals import Refused
from intake.stations import Outcome, Station
from quotes import diagnosis, drafts, offers, payments, stock
from quotes.diagnosis import Found
from quotes.models import Lot, Move, Part, Rates
from quotes.proof import prove
from shop.bench import repair
from shop.branches import comeback, quarantine
from shop.branches.comeback import Said
from shop.demo.steps import lines_of as walk_lines
from shop.models import ComebackCause
from shop.traveller.quoting import send_as_seen
from shop.traveller.signing import sign_finding
from tests import walk

FOUND = Found(fault_class="own work", words="A joint of ours has cracked.", mendable="yes")
LATER = dt.timedelta(days=20)


@pytest.fixture
def before(bench, at):
    return walk.to(walk.request(at=at, idea=""), Station.HOME, by=bench.technician, at=at)


def came_back(before, bench, at, key="again"):
    order = arrivals.start_comeback(
        order=before, words="It is dead again.", form_key=key, by=bench.technician, at=at
    )
    return walk.receive(order, by=bench.technician, at=at)


@pytest.fixture
def order(before, bench, at):
    return came_back(before, bench, at + LATER)


def say(order, bench, at, cause="work", words="Our joint cracked.", key="", **more):
    said = Said(cause=cause, words=words, **more)
    return comeback.say_cause(order=order, said=said, key=key or f"c-{cause}", by=bench.technician, at=at)


def sign(order, bench, at, found=FOUND):
    sign_finding(
        order=order, seen_version=order.version, found=found, key=f"f{order.pk}", by=bench.technician, at=at
    )
    return Order.objects.get(pk=order.pk)


def quoted(order, bench, at):
    draft = drafts.draft_of(order, at=at)
    looked_at = offers.digest_of(drafts.preview(draft, at=at).shown)
    quote = send_as_seen(
        order=order,
        seen_version=order.version,
        seen_draft=draft.version,
        looked_at=looked_at,
        by=bench.technician,
        at=at,
    )
    order.refresh_from_db()
    return quote


def test_finding_waits_for_the_cause(order, bench, at):
    with pytest.raises(Refused, match="Say first why it came back"):
        sign(order, bench, at + LATER)
    assert not order.findings.exists()


@pytest.mark.parametrize("cause", ["same", "work"])
def test_what_is_ours_costs_nothing_to_its_end(order, before, bench, at, kinds, cause):
    at = at + LATER
    assert say(order, bench, at, cause).covered
    order = sign(order, bench, at)
    quote = quoted(order, bench, at)
    assert (quote.total, quote.back_total, quote.no_fix_total) == (0, 0, 0)
    order = walk.to(order, Station.HOME, by=bench.technician, at=at)
    assert kinds(order) == [
        "arrived", "comeback_covered", "quote", "agreed", "mended", "on_its_way", "home",
    ]  # fmt: skip
    assert "not the post either way" in order.letters.get(kind="comeback_covered").text
    assert payments.balance(order) == 0 and not order.payments.exists()
    assert before.history.filter(what="comeback looked at").count() == 1
    assert prove() == []


@pytest.mark.parametrize("cause", ["new", "damage"])
def test_what_is_not_ours_is_quoted_as_ever(order, bench, at, kinds, cause):
    at = at + LATER
    assert not say(order, bench, at, cause).covered
    order = sign(order, bench, at)
    walk.quote(order, by=bench.technician, at=at)
    walk.answer(order, choice="back", at=at)
    order.refresh_from_db()
    assert kinds(order) == ["arrived", "comeback_not_covered", "quote", "declined"]
    assert "does not cover this" in order.letters.get(kind="comeback_not_covered").text
    assert payments.balance(order) == Decimal("12.00")
    walk.pay(order, by=bench.technician, at=at)
    order = walk.deliver(walk.send(order, by=bench.technician, at=at), by=bench.technician, at=at)
    assert order.outcome == Outcome.DECLINED and prove() == []


def test_warranty_that_is_over_covers_nothing(before, bench, at):
    over = at + dt.timedelta(days=91)
    row = say(came_back(before, bench, over), bench, over, "same")
    assert not row.covered
    assert comeback.rule_of(row.order, "same").why.startswith("The warranty was over on")


def test_no_warranty_before_is_said(bench, at):
    order = walk.to(walk.request(at=at, idea=""), Station.GO_AHEAD, by=bench.technician, at=at)
    walk.answer(order, choice="back", at=at)
    order = walk.to(Order.objects.get(pk=order.pk), Station.HOME, by=bench.technician, at=at)
    again = came_back(order, bench, at)
    assert not say(again, bench, at, "same").covered
    assert comeback.rule_of(again, "same").why == "The first repair left no warranty."


def test_bad_lot_is_named_and_was_fitted_before(order, before, bench, at):
    at = at + LATER
    wire = Part.objects.get(number="WIRE-002")
    lot = Lot.objects.create(number="L-7", part=wire, came_at=at)
    other = Lot.objects.create(number="L-8", part=Part.objects.get(number="SOCK-C7"), came_at=at)
    for number in ("", "L-99", other.number):
        with pytest.raises(Refused) as refused:
            say(order, bench, at, "lot", lot=number)
        assert refused.value.field == "lot"
    row = say(order, bench, at, "lot", lot="l-7")
    assert row.lot == lot and row.covered
    assert comeback.lots_before(order) == [lot]


def test_owner_decides_against_the_rule_with_a_reason(order, bench, at, kinds):
    at = at + LATER
    say(order, bench, at, "new", words="A new fault.")
    given = {"order": order, "is_covered": True, "key": "o", "at": at}
    with pytest.raises(Refused, match="Only the owner"):
        comeback.overrule(**given, why="Goodwill.", by=bench.technician)
    with pytest.raises(Refused) as refused:
        comeback.overrule(**given, why="", by=bench.owner)
    assert refused.value.field == "why"
    comeback.overrule(**given, why="A good customer.", by=bench.owner)
    assert comeback.covered(order) and ComebackCause.objects.count() == 2
    sign(order, bench, at)
    assert kinds(order)[-1] == "comeback_covered"
    assert "The shop decided so." in order.letters.get(kind="comeback_covered").text


def test_covered_comeback_is_never_quoted_at_a_price(order, bench, at):
    at = at + LATER
    say(order, bench, at)
    order = sign(order, bench, at)
    draft = drafts.draft_of(order, at=at)
    part = {"kind": "part", "part": Part.objects.get(number="SOCK-C7").pk, "quantity": "1"}
    drafts.save_draft(draft=draft, lines=[*draft.lines, part], words="", promise=None, at=at)
    with pytest.raises(Refused, match="it costs the customer nothing"):
        quoted(order, bench, at)
    comeback.offer_free(order=order, at=at)
    assert quoted(order, bench, at).total == 0


def test_smallest_charge_and_fee_leave_a_free_quote_free(order, bench, at):
    at = at + LATER
    Rates.objects.update(minimum_charge=Decimal(40), declined_fee=Decimal(25))
    say(order, bench, at)
    quote = quoted(sign(order, bench, at), bench, at)
    assert (quote.total, quote.back_total, quote.recycle_total, quote.no_fix_total) == (0, 0, 0, 0)
    walk.answer(Order.objects.get(pk=order.pk), choice="back", at=at)
    assert not order.invoices.exists()


def test_covered_comeback_that_cannot_be_mended_goes_home_free(order, bench, at, kinds):
    at = at + LATER
    say(order, bench, at)
    order = sign(order, bench, at, Found(fault_class="board", words="The board is cracked.", mendable="no"))
    assert order.outcome == Outcome.NO_FIX and not order.invoices.exists()
    order = walk.deliver(walk.send(order, by=bench.technician, at=at), by=bench.technician, at=at)
    assert kinds(order) == ["arrived", "nothing_to_offer", "comeback_covered", "on_its_way", "home"]
    assert prove() == []


def test_covered_comeback_that_fails_at_60_goes_home_free(order, bench, at):
    at = at + LATER
    say(order, bench, at)
    order = sign(order, bench, at)
    quoted(order, bench, at)
    walk.answer(order, at=at)
    order.refresh_from_db()
    repair.no_fix(order=order, seen_version=order.version, words="It tore.", by=bench.technician, at=at)
    assert not order.invoices.exists() and stock.set_aside(order) == {}
    assert not Move.objects.filter(order=order, kind="consume").exists() and prove() == []


def test_cause_is_said_only_of_a_comeback_and_only_at_30(order, before, bench, at):
    plain = walk.receive(walk.request(at=at), by=bench.technician, at=at)
    with pytest.raises(Refused, match="no comeback"):
        say(plain, bench, at)
    say(order, bench, at + LATER)
    order = sign(order, bench, at + LATER)
    with pytest.raises(Refused, match="said at 30"):
        say(order, bench, at + LATER, "new", key="late")


def test_cause_is_said_on_the_sheet_and_stands_on_both(order, before, bench, at, staff, owner_client, post):
    page = f"/sheet/{order.code}/"
    assert "Say why, before the finding is signed" in staff.get(page).content.decode()
    wrong = post(order, "comeback/cause", cause="lot", words="Bad batch.", lot="", key="k")
    assert wrong.status_code == 422 and "Name the lot by its number" in wrong.content.decode()
    assert "Bad batch." in wrong.content.decode()
    assert post(order, "comeback/cause", cause="damage", words="It fell.", lot="", key="k").status_code == 303
    assert "against the rule who pays" not in staff.get(page).content.decode()
    assert "against the rule who pays" in owner_client.get(page).content.decode()
    answer = post(order, "comeback/cover", client=owner_client, covered="yes", why="Goodwill.", key="o")
    assert answer.status_code == 303
    assert "New damage: we pay." in staff.get(page).content.decode()
    assert "new damage" in staff.get(f"/sheet/{before.code}/").content.decode()


def test_prices_are_put_at_nought_by_a_button(order, bench, at, staff, post):
    at = at + LATER
    say(order, bench, at)
    order = sign(order, bench, at)
    page = f"/sheet/{order.code}/"
    assert "A comeback that we pay." in staff.get(page).content.decode()
    assert "Put every price at nought" not in staff.get(page).content.decode()
    draft = drafts.draft_of(order, at=at)
    drafts.save_draft(
        draft=draft, lines=[{**draft.lines[0], "price": "50"}, draft.lines[1]], words="", promise=None, at=at
    )
    assert "Put every price at nought" in staff.get(page).content.decode()
    assert post(order, "comeback/free").status_code == 303
    assert drafts.preview(drafts.draft_of(order, at=at), at=at).priced.total == 0


def test_cause_said_anew_leaves_the_owners_word_while_it_is_the_same(order, bench, at):
    at = at + LATER
    say(order, bench, at, "new")
    comeback.overrule(order=order, is_covered=True, why="Goodwill.", key="o1", by=bench.owner, at=at)
    assert say(order, bench, at, "new", words="A new fault, looked at again.", key="c2").covered
    assert not say(order, bench, at, "damage").covered
    assert say(order, bench, at, "work").covered


def test_covered_comeback_without_its_battery_goes_back_at_nothing(before, bench, at, kinds):
    at = at + LATER
    order = arrivals.start_comeback(
        order=before, words="It is dead again.", form_key="again", by=bench.technician, at=at
    )
    order = walk.receive(order, by=bench.technician, at=at, cell_state="swollen")
    assert say(order, bench, at).covered
    dealt = quarantine.Dealt("safe", "Out, in its container.", quarantine.BACK)
    quarantine.end_quarantine(
        order=order, seen_version=order.version, dealt=dealt, by=bench.technician, at=at
    )
    assert payments.balance(order) == 0 and not order.invoices.exists()
    assert "nothing" in order.letters.get(kind="battery_out").text.lower()
    order.refresh_from_db()
    walk.deliver(walk.send(order, by=bench.technician, at=at), by=bench.technician, at=at)
    assert prove() == []


def test_comeback_that_a_second_look_finds_not_covered_is_quoted_at_its_price(order, bench, at, kinds):
    at = at + LATER
    say(order, bench, at)
    order = sign(order, bench, at)
    draft = drafts.draft_of(order, at=at)
    lines = [*draft.lines, *walk_lines(["Fit jumper wire"], ["WIRE-002"])[:2]]
    drafts.save_draft(draft=draft, lines=lines, words="", promise=draft.promise, at=at)
    comeback.offer_free(order=order, at=at)
    order = diagnosis.look_again(order=order, seen_version=order.version, by=bench.technician, at=at)
    say(order, bench, at, "damage")
    sign_finding(
        order=order, seen_version=order.version, found=FOUND, key="second look", by=bench.technician, at=at
    )
    order.refresh_from_db()
    draft = drafts.draft_of(order, at=at)
    assert [(line["kind"], line.get("price")) for line in draft.lines if line.get("price")] == []
    assert {line["kind"] for line in draft.lines} == {"labour", "part", "post"}
    quote = quoted(order, bench, at)
    assert quote.total > 30 and "on us" not in str(quote.shown)
    assert kinds(order) == ["arrived", "comeback_covered", "comeback_not_covered", "quote"]
