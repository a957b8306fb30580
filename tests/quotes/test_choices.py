"""Several choices on one quote, optional extras, a deposit, and what a revision changes: from the draft to the yes."""

import datetime as dt
from decimal import Decimal

import pytest

from intake import lifecycle
from intake.models import Order, Slip
from intake.stations import SlipReason, Station
from quotes import billing, decisions, deposits, draft_lines, drafts, offers, stock
from quotes.agreed import agreed_lines, agreed_promise, agreed_total, agreed_warranty_days
from quotes.decisions import Answer
from quotes.models import Payment, Quote, QuoteDraft, Rates, Surcharge
from quotes.refusals import Refused
from tests.bench_orders import at_quote, lines, make_rates

pytestmark = pytest.mark.usefixtures("rates")

DATA = {"kind": "labour", "text": "Save the data", "price": "60", "choice": "data"}
CLEAN = {"kind": "labour", "text": "Clean the board", "price": "40", "choice": "clean"}
ON = {"data": {"on": True}, "clean": {"on": True}}


def extra(part, key="e1", text="Screen protector", choice="mend"):
    return {"kind": "part", "part": part.pk, "extra": key, "extra_text": text, "choice": choice}


@pytest.fixture
def order(technician, at):
    return at_quote(by=technician, at=at)


def keep(order, rows, at, **more):
    draft = drafts.draft_of(order, at=at)
    return drafts.save_draft(draft=draft, lines=rows, words="", promise=draft.promise, at=at, **more)


def send(order, rows, by, at, **more):
    draft = keep(order, rows, at, **more)
    order.refresh_from_db()
    quote = offers.send(order=order, seen_version=order.version, seen_draft=draft.version, by=by, at=at)
    return Quote.objects.get(pk=quote.pk)


def answer(quote, at, choice="mend", **other):
    given = Answer(choice, "Mara Ellwick", quote.digest, "Yes", **other)
    return decisions.decide(quote=quote, answer=given, at=at)


@pytest.fixture
def three(order, technician, at, remedy, part):
    """Mend 112.32, data 72.00, clean 52.00; a second part as an extra of the repair, 4.32 more."""
    rows = [*lines(remedy, part), DATA, CLEAN, extra(part)]
    return send(order, rows, technician, at, choices=ON)


def test_each_choice_is_a_document_of_its_own(three):
    rows = {row.choice: (row.total, row.no_fix_total) for row in three.choices.all()}
    assert rows == {
        "mend": (Decimal("112.32"), Decimal(12)),
        "data": (Decimal(72), Decimal(12)),
        "clean": (Decimal(52), Decimal(52)),
        "back": (Decimal(12), 0),
        "recycle": (0, 0),
    }
    shown = {row["choice"]: row for row in three.shown["choices"]}
    assert list(shown) == ["mend", "data", "clean", "back", "recycle"]
    assert shown["mend"]["totals"] == {"": "112.32", "e1": "116.64"}
    assert three.shown["extras"] == [
        {"key": "e1", "text": "Screen protector", "choices": ["mend"], "amounts": {"mend": "4.32"}}
    ]
    assert three.shown["total"] == "112.32"
    assert len(three.shown["lines"]) == 3
    for name in ("mend", "data", "clean"):
        assert shown[name]["chance"].split(".")[0] in ("Good", "Even", "Poor")
        assert shown[name]["data_words"]
        assert shown[name]["fails_words"]


def test_yes_with_an_extra_costs_what_was_shown_and_takes_its_part(three, part, at):
    decision = answer(three, at, extras=["e1"])
    assert agreed_total(decision) == Decimal("116.64")
    assert [line.extra for line in agreed_lines(decision)] == ["", "", "", "e1"]
    assert stock.set_aside(three.order) == {part.pk: 2}


def test_yes_without_the_extra_leaves_its_part_free(three, part, at):
    decision = answer(three, at)
    assert decision.amount == Decimal("112.32")
    assert stock.set_aside(three.order) == {part.pk: 1}


def test_yes_to_the_data_alone_is_work_with_its_own_price_and_no_part(three, at):
    decision = answer(three, at, "data")
    order = Order.objects.get(pk=three.order_id)
    assert order.station == Station.REPAIR
    assert decisions.agreed_quote(order) == three
    assert decision.amount == Decimal(72)
    assert [line.text for line in agreed_lines(decision)] == ["Save the data", "Return post"]
    assert stock.set_aside(order) == {}
    assert agreed_warranty_days(decision) == 0
    assert "save the data only" in order.lines.get(station=Station.GO_AHEAD).note


def test_day_and_warranty_are_those_of_the_choice_that_was_taken(order, technician, at, remedy):
    more = {**ON, "data": {"on": True, "promise": "2026-03-02", "warranty_days": 30}}
    quote = send(order, [*lines(remedy), DATA, CLEAN], technician, at, choices=more)
    decision = answer(quote, at, "data")
    assert agreed_promise(decision) == dt.date(2026, 3, 2)
    assert agreed_warranty_days(decision) == 30
    assert Order.objects.get(pk=order.pk).promise == dt.date(2026, 3, 2)


@pytest.mark.parametrize(("choice", "extras"), [("data", ["e1"]), ("mend", ["e2"]), ("back", ["e1"])])
def test_extra_that_does_not_go_with_the_choice_is_refused(three, at, choice, extras):
    with pytest.raises(Refused) as refused:
        answer(three, at, choice, extras=extras)
    assert refused.value.field == "extras"
    assert not hasattr(Quote.objects.get(pk=three.pk), "end")


def test_exactly_one_choice_is_decided(three, at):
    answer(three, at, "data")
    with pytest.raises(Refused, match="answered already"):
        answer(three, at, "mend")


def test_choice_without_labour_is_not_sent(order, technician, at, remedy):
    with pytest.raises(Refused, match="Save the data only: add its labour first") as refused:
        send(order, lines(remedy), technician, at, choices={"data": {"on": True}})
    assert refused.value.field == "lines"
    assert not Quote.objects.exists()


def test_choice_that_is_not_offered_is_not_on_the_quote(order, technician, at, remedy):
    quote = send(order, [*lines(remedy), DATA], technician, at)
    assert [row["choice"] for row in quote.shown["choices"]] == ["mend", "back", "recycle"]
    assert not quote.lines.filter(choice="data").exists()
    with pytest.raises(Refused, match="pick one"):
        answer(quote, at, "data")


def test_line_for_a_further_choice_offers_it(order, at, remedy):
    keep(order, lines(remedy), at)
    draft_lines.add(order=order, seen=2, line=DATA, at=at)
    assert QuoteDraft.objects.get().choices["data"]["on"] is True


def test_limit_covers_the_repair_without_extras(technician, at, remedy, part):
    order = at_quote(by=technician, at=at, standing_limit=Decimal("112.32"))
    quote = send(order, [*lines(remedy, part), extra(part)], technician, at)
    assert quote.decision.channel == "limit"
    assert (quote.decision.amount, quote.decision.extras) == (Decimal("112.32"), [])


def test_extras_of_one_name_are_one_and_a_fourth_name_is_refused(order, at, remedy, part):
    rows = [*lines(remedy), *({"kind": "part", "part": part.pk, "quantity": "1"} for _ in range(5))]
    draft = keep(order, rows, at)
    names = ["Cable", "cable ", "Case", "Film"]
    for number, name in enumerate(names, start=3):
        draft = draft_lines.change(
            order=order, seen=draft.version, number=number, quantity=Decimal(1), price=None, extra=name, at=at
        )
    assert [line.get("extra") for line in draft.lines[2:6]] == ["e1", "e1", "e2", "e3"]
    with pytest.raises(Refused, match="at most three"):
        draft_lines.change(
            order=order, seen=draft.version, number=7, quantity=Decimal(1), price=None, extra="Fourth", at=at
        )


def test_surcharge_is_a_share_of_labour_and_parts(order, technician, at, remedy, part):
    share = Surcharge.objects.create(name="Rush", kind="rush", percent=Decimal(15))
    fixed = Surcharge.objects.create(name="Small order", kind="fee", amount=Decimal("3.50"))
    rows = [*lines(remedy, part), draft_lines.surcharge_line(share), draft_lines.surcharge_line(fixed)]
    quote = send(order, rows, technician, at)
    assert [(line.text, line.net) for line in quote.lines.filter(kind__in=["rush", "fee"])] == [
        ("Rush", Decimal(15)),
        ("Small order", Decimal("3.50")),
    ]
    assert "15 % of labour and parts" in quote.lines.get(kind="rush").why


def test_deposit_without_a_special_part_is_refused_beside_its_field(order, at, remedy, part):
    keep(order, lines(remedy, part), at)
    with pytest.raises(Refused, match="only for a special part") as refused:
        draft_lines.ask_deposit(order=order, seen=2, amount=Decimal(10), words="", at=at)
    assert refused.value.field == "deposit"


@pytest.fixture
def special(part):
    type(part).objects.filter(pk=part.pk).update(special=True)
    return part


@pytest.mark.parametrize(("amount", "fits"), [("112.32", True), ("112.33", False)])
def test_deposit_is_never_above_the_total(order, at, remedy, special, amount, fits):
    keep(order, lines(remedy, special), at)
    if fits:
        draft_lines.ask_deposit(order=order, seen=2, amount=Decimal(amount), words="", at=at)
    else:
        with pytest.raises(Refused, match="above the total"):
            draft_lines.ask_deposit(order=order, seen=2, amount=Decimal(amount), words="", at=at)


def test_deposit_whose_part_went_off_the_draft_stops_the_sending(order, technician, at, remedy, special):
    keep(order, lines(remedy, special), at, deposit=Decimal(40))
    with pytest.raises(Refused, match="None is on the quote"):
        send(order, lines(remedy), technician, at)


@pytest.fixture
def with_deposit(order, technician, at, remedy, special):
    quote = send(order, lines(remedy, special), technician, at, deposit=Decimal(40))
    answer(quote, at)
    return quote


def pay(order, by, at, amount, key):
    return Payment.objects.create(
        key=key, order=order, kind="card", purpose="deposit", amount=amount, currency="USD", at=at, by=by
    )


def test_yes_with_a_deposit_waits_for_it_and_goes_on_when_it_is_there(with_deposit, technician, at):
    order = Order.objects.get(pk=with_deposit.order_id)
    slip = Slip.objects.get(order=order, reason=SlipReason.PAYMENT)
    assert order.station == Station.REPAIR
    assert "$40.00" in slip.note
    pay(order, technician, at, Decimal(25), "a")
    assert deposits.wanted(order) == Decimal(15)
    assert not deposits.settle(order=order, at=at, by=technician)
    pay(order, technician, at, Decimal(15), "b")
    assert deposits.settle(order=order, at=at, by=technician)
    slip.refresh_from_db()
    assert (slip.ended_at, slip.end_note) == (at, "The deposit is in.")
    assert not deposits.settle(order=order, at=at, by=technician)


def test_deposit_is_shown_and_not_asked_for_another_answer(order, technician, at, remedy, special):
    rows = [*lines(remedy, special), DATA]
    quote = send(order, rows, technician, at, deposit=Decimal(40), choices={"data": {"on": True}})
    assert quote.shown["deposit"]["amount"] == "40.00"
    answer(quote, at, "data")
    assert deposits.wanted(order) == 0
    assert not Slip.objects.filter(reason=SlipReason.PAYMENT).exists()


def test_yes_leaves_on_a_slip_for_other_money_that_a_person_put_on(order, technician, at, remedy):
    quote = send(order, lines(remedy), technician, at)
    who = lifecycle.staff(technician)
    slip = lifecycle.hold(order, reason=SlipReason.PAYMENT, by=who, at=at, note="The old bill first.")
    answer(quote, at)
    slip.refresh_from_db()
    assert slip.ended_at is None


def revise(order, rows, by, at):
    order.refresh_from_db()
    offers.reopen(order=order, seen_version=order.version, by=by, at=at)
    return send(Order.objects.get(pk=order.pk), rows, by, at, choices={})


def test_changes_of_a_revision_add_up_to_the_difference_of_the_totals(three, technician, at, remedy, part):
    make_rates(at, return_post_price=Decimal("13.37"), tax_percents={"part": "8.25", "labour": "3"})
    fee = {"kind": "fee", "text": "For the wait", "price": "-5"}
    newer = revise(three.order, [*lines(remedy, part, 3), fee], technician, at)
    changes = newer.shown["changes"]
    assert newer.shown["replaces"] == 1
    assert sum(Decimal(row["change"]) for row in changes) == newer.total - three.total
    kinds = {row["text"]: row["kind"] for row in changes}
    assert kinds["For the wait"] == "added"
    assert kinds["Return post"] == "changed"
    assert kinds["Mend the torn pad and run a fine wire"] == "same"


def test_changes_add_up_when_the_shop_went_over_to_prices_with_tax(three, technician, at, remedy, part):
    make_rates(at, tax_inclusive=True)
    newer = revise(three.order, lines(remedy, part), technician, at)
    assert sum(Decimal(row["change"]) for row in newer.shown["changes"]) == newer.total - three.total


def test_first_quote_replaces_nothing(three):
    assert (three.shown["replaces"], three.shown["changes"]) == (0, [])


def second(order, finding, by, at):
    order = Order.objects.get(pk=order.pk)
    offers.second_fault(order=order, seen_version=order.version, found=finding, by=by, at=at)
    return Order.objects.get(pk=order.pk)


def test_declined_change_order_leaves_what_was_agreed_with_its_extras(three, technician, at, remedy, part):
    first = answer(three, at, extras=["e1"])
    order = second(three.order, three.finding, technician, at)
    newer = send(order, [*lines(remedy, part, 2), DATA], technician, at)
    assert [row["choice"] for row in newer.shown["choices"]] == ["mend", "first"]
    decision = answer(newer, at, "first")
    assert decision.amount == first.amount == Decimal("116.64")
    assert agreed_lines(decision) == agreed_lines(first)
    assert stock.set_aside(order) == {part.pk: 2}
    assert decisions.agreed_quote(order) == three


def test_change_order_that_waits_leaves_the_first_agreement_standing(three, technician, at, remedy, part):
    answer(three, at)
    order = second(three.order, three.finding, technician, at)
    send(order, lines(remedy, part, 2), technician, at)
    assert decisions.agreed_quote(order) == three


def test_quote_keeps_the_tax_rules_of_its_day(order, technician, at, remedy, part):
    Rates.objects.update(
        tax_rules={
            "name": "Here",
            "version": 1,
            "home": "US",
            "rules": [
                {"formula": "rate", "kinds": ["part"], "percent": "8"},
                {"formula": "exempt", "reason": "Repair labour is not taxed here."},
            ],
        }
    )
    quote = send(order, lines(remedy, part), technician, at)
    rows = {line.kind: (line.tax_category, line.tax_percent, line.tax_reason) for line in quote.lines.all()}
    assert rows["part"] == ("S", Decimal(8), "")
    assert rows["labour"] == ("E", 0, "Repair labour is not taxed here.")
    assert quote.total == Decimal("112.32")
    reasons = [row["reason"] for row in quote.shown["choices"][0]["taxes"]]
    assert "Repair labour is not taxed here." in reasons


def test_bill_of_a_choice_is_its_total(three, technician, at):
    answer(three, at, extras=["e1"])
    invoice = billing.bill_agreed(order=three.order, quote=three, by=technician, at=at)
    assert invoice.total == Decimal("116.64")
