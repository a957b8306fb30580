"""Every button at any moment: customer, technician, owner and clock press at random, and the rules hold after each.

The buttons are the real actions. Most are pressed where the sheet does not offer them: those must be refused with a
sentence and change nothing. A button pressed on an old page (a stale version) must be refused too.
"""

import datetime as dt
from collections import Counter, defaultdict
from decimal import Decimal

import pytest
from django.db import transaction
from django.db.models import Sum
from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    rule,
    run_state_machine_as_test,
)

from intake import history, lifecycle, questions, submissions
from intake.models import HistoryEntry, Letter, Order, Person
from intake.refusals import Refused
from intake.stations import MOVES, Station
from quotes import billing, decisions, diagnosis, offers, payments, stock
from quotes.models import Decision, Finding, Invoice, Move, Part, Quote, QuoteEnd
from quotes.proof import prove
from shop import clock
from shop.bench import repair, testing
from shop.books.recount import recount
from shop.demo.steps import lines_of
from shop.models import Override, Parcel, TestRun
from shop.returns import out
from tests import walk

START = dt.datetime(2026, 2, 2, 9, 0, tzinfo=dt.UTC)
SCARCE = "CHG-S2"  # two in the bin
LETTER_OF = {"mend": "agreed", "back": "declined", "recycle": "recycle", "first": "first_only"}
LEGAL = {(int(a), int(b)) for a, b in MOVES}


class Presses(RuleBasedStateMachine):
    """Two sheets in one shop, so that they compete for the last parts."""

    def __init__(self) -> None:
        super().__init__()
        self.at = START
        self.key = 0
        self.changed = True
        # Each run starts on the fresh shop: what it did is rolled back at its end.
        self.undo = transaction.atomic()
        self.undo.__enter__()

    def teardown(self) -> None:
        transaction.set_rollback(True)
        self.undo.__exit__(None, None, None)

    @initialize(limit=st.sampled_from([None, Decimal(10), Decimal(500)]))
    def open_the_shop(self, limit: Decimal | None) -> None:
        self.owner, self.technician = Person.objects.order_by("role")
        self.orders = [walk.request(at=self.at, standing_limit=limit), walk.request(at=self.at)]

    # What every press has in common.

    def fresh(self) -> str:
        self.key += 1
        return f"press-{self.key}"

    def order(self, which: int) -> Order:
        return Order.objects.select_related("customer", "device", "return_address").get(
            pk=self.orders[which].pk
        )

    def press(self, deed, *args, **kwargs) -> bool:
        """As a view does: refused with a sentence or done whole. Says whether it was done."""
        self.at += dt.timedelta(minutes=1)
        try:
            with transaction.atomic():
                deed(*args, **kwargs)
        except Refused as refusal:
            assert refusal.sentence
            return False
        self.changed = True
        return True

    def press_old_page(self, deed, **kwargs) -> None:
        """The same button on a page that shows an older sheet: never done."""
        before = HistoryEntry.objects.count()
        assert not self.press(deed, **kwargs)
        assert HistoryEntry.objects.count() == before

    def sign(self, which: int, deed, **kwargs) -> None:
        """Press a button that signs a station: first on an old page, then on the right one, then once more."""
        order = self.order(which)
        seen = order.version
        if seen > 1:
            self.press_old_page(deed, order=self.order(which), seen_version=seen - 1, at=self.at, **kwargs)
        if self.press(deed, order=order, seen_version=seen, at=self.at, **kwargs):
            self.press_old_page(deed, order=self.order(which), seen_version=seen, at=self.at, **kwargs)

    which = st.integers(0, 1)

    # Technician.

    @rule(which=which)
    def go_on(self, which: int) -> None:
        """The usual next step, so that the walks get far."""
        order, by, at = self.order(which), self.technician, self.at
        usual = {
            Station.GOODS_IN: lambda: walk.receive(order, by=by, at=at),
            Station.DIAGNOSIS: lambda: walk.find(order, by=by, at=at),
            Station.QUOTE: lambda: walk.quote(order, by=by, at=at),
            Station.REPAIR: lambda: walk.mend(order, by=by, at=at),
            Station.TEST: lambda: walk.test_and_pass(order, by=by, at=at),
            Station.GOODS_OUT: lambda: walk.send(order, by=by, at=at),
            Station.WAY_HOME: lambda: walk.deliver(order, by=by, at=at),
        }
        if order.at_station in usual:
            self.press(usual[order.at_station])

    @rule(
        which=which,
        serial=st.sampled_from(["ZZ-0417", "OTHER-1", ""]),
        cell=st.sampled_from(["sound", "swollen"]),
    )
    def take_in(self, which: int, serial: str, cell: str) -> None:
        order = self.order(which)
        self.press(walk.receive, order, by=self.technician, at=self.at, serial_read=serial, cell_state=cell)

    @rule(which=which, mendable=st.sampled_from(["yes", "no"]))
    def find(self, which: int, mendable: str) -> None:
        self.press(walk.find, self.order(which), by=self.technician, at=self.at, mendable=mendable)

    @rule(which=which)
    def look_again(self, which: int) -> None:
        self.sign(which, diagnosis.look_again, by=self.technician)

    @rule(
        which=which, part=st.sampled_from(["WIRE-002", SCARCE]), extra=st.sampled_from([None, "7.77", "-3"])
    )
    def send_quote(self, which: int, part: str, extra: str | None) -> None:
        more = [{"kind": "fee", "text": "Extra", "quantity": "1", "price": extra}] if extra else []
        lines = walk_lines(part, more)
        self.press(walk.quote, self.order(which), by=self.technician, at=self.at, lines=lines)

    @rule(which=which)
    def rewrite_quote(self, which: int) -> None:
        self.sign(which, offers.reopen, by=self.technician)

    @rule(which=which)
    def second_fault(self, which: int) -> None:
        found = diagnosis.Found(
            fault_class="cracked joint", words="A joint is cracked too.", mendable="yes", idea_answer="not"
        )
        self.sign(which, repair.second_fault, found=found, key=self.fresh(), by=self.technician)

    @rule(which=which, part=st.sampled_from(["WIRE-002", SCARCE]), spoiled=st.booleans())
    def use_part(self, which: int, part: str, spoiled: bool) -> None:
        row, key = Part.objects.get(number=part), self.fresh()
        order = self.order(which)
        for _ in range(2):  # a double press books once
            self.press(
                repair.use_part,
                order=order, part=row, quantity=1, key=key, by=self.technician, at=self.at, spoiled=spoiled,
            )  # fmt: skip
        assert Move.objects.filter(key=key).count() <= 1

    @rule(which=which)
    def put_back(self, which: int) -> None:
        for move in Move.objects.filter(order=self.orders[which], kind="consume", on_hand_change__lt=0)[:1]:
            for _ in range(2):
                self.press(repair.put_back, move=move, by=self.technician, at=self.at)

    @rule(which=which)
    def parts_came(self, which: int) -> None:
        key = self.fresh()
        self.press(
            stock.receive,
            part=Part.objects.get(number=SCARCE),
            quantity=1,
            unit_cost=Decimal("70.10"),
            key=key,
            by=lifecycle.staff(self.technician),
            at=self.at,
        )
        self.press(repair.parts_came, order=self.order(which), by=self.technician, at=self.at)

    @rule(which=which)
    def finish(self, which: int) -> None:
        self.sign(which, repair.finish, by=self.technician, anyway="It works without.")

    @rule(which=which)
    def give_up(self, which: int) -> None:
        self.sign(which, repair.no_fix, words="The board is cracked through.", by=self.technician)

    @rule(which=which, result=st.sampled_from(["ok", "bad", ""]))
    def sign_the_test(self, which: int, result: str) -> None:
        """Sign without looking: only a run whose rows all passed may be signed."""
        order = self.order(which)
        for run in TestRun.objects.filter(order=order, signed_at__isnull=True):
            for row in run.rows.all():
                testing.mark(row=row, result=result, reason="Seen on paper")
        self.sign(which, testing.sign_pass, by=self.technician)

    @rule(which=which)
    def fail_the_test(self, which: int) -> None:
        self.sign(which, testing.sign_fail, by=self.technician, note="Still silent.")

    @rule(which=which)
    def send_home(self, which: int) -> None:
        self.press(walk.send, self.order(which), by=self.technician, at=self.at)

    @rule(which=which)
    def delivered(self, which: int) -> None:
        self.sign(which, out.delivered, by=self.technician)

    @rule(which=which)
    def recycle(self, which: int) -> None:
        self.sign(which, out.recycle, method="Storage shredded", by=self.technician)

    @rule(which=which, reason=st.sampled_from(list(lifecycle.SlipReason)), on=st.booleans())
    def slip(self, which: int, reason: lifecycle.SlipReason, on: bool) -> None:
        deed = lifecycle.hold if on else lifecycle.release
        self.press(deed, self.order(which), reason=reason, by=lifecycle.staff(self.technician), at=self.at)

    # Customer.

    @rule(
        which=which, choice=st.sampled_from(["mend", "mend", "back", "recycle", "first"]), old=st.booleans()
    )
    def answer(self, which: int, choice: str, old: bool) -> None:
        """On the newest quote or on the page of the first one that still lies open in some window."""
        quotes = Quote.objects.filter(order=self.orders[which]).order_by("revision" if old else "-revision")
        quote = quotes.first()
        if quote is None:
            return
        given = decisions.Answer(
            choice=choice, typed_name="Mara Ellwick", digest=quote.digest, button="Yes", consents=["wipe"]
        )
        if self.press(decisions.decide, quote=quote, answer=given, at=self.at):
            assert not self.press(decisions.decide, quote=quote, answer=given, at=self.at)

    @rule(which=which)
    def withdraw(self, which: int) -> None:
        self.sign(which, submissions.withdraw, by=lifecycle.CUSTOMER)

    @rule(which=which)
    def stop(self, which: int) -> None:
        begun = self.orders[which].work.filter(kind="repair").exists()
        self.sign(which, decisions.stop_before_work, begun=begun)

    @rule(which=which)
    def ask(self, which: int) -> None:
        key = self.fresh()
        for _ in range(2):
            self.press(
                questions.ask, order=self.order(which), text="When is it done?", form_key=key, at=self.at
            )
        assert Letter.objects.filter(kind="question_for_shop", order=self.orders[which]).count() == (
            self.orders[which].messages.count()
        )

    # Owner.

    @rule(which=which, share=st.sampled_from(["0.5", "1", "2"]))
    def pay(self, which: int, share: str) -> None:
        order, key = self.order(which), self.fresh()
        owed = billing.balance(order)
        for _ in range(2):
            self.press(
                payments.record_payment,
                order=order, kind="card", amount=owed * Decimal(share), key=key, by=self.owner, at=self.at,
            )  # fmt: skip

    @rule(which=which)
    def refund(self, which: int) -> None:
        order = self.order(which)
        self.press(
            payments.refund,
            order=order, kind="card", amount=max(-billing.balance(order), Decimal(1)), key=self.fresh(),
            by=self.owner, at=self.at, note="Paid twice",
        )  # fmt: skip

    @rule(which=which)
    def credit(self, which: int) -> None:
        invoice = Invoice.objects.filter(order=self.orders[which], kind="invoice").first()
        if invoice is not None:
            self.press(billing.credit, invoice=invoice, why="Goodwill", by=self.owner, at=self.at)

    @rule(which=which)
    def let_go_unpaid(self, which: int) -> None:
        self.press(out.let_go_unpaid, order=self.order(which), reason="Old friend", by=self.owner, at=self.at)

    # Clock.

    @rule(days=st.sampled_from([1, 4, 8, 22]))
    def time_passes(self, days: int) -> None:
        self.at += dt.timedelta(days=days)
        self.changed = True
        for _ in range(2):
            clock.tick(at=self.at)

    # What must never break. What was refused changed nothing, so that only what was done is looked at.

    @invariant()
    def rules_hold(self) -> None:
        if self.changed:
            self.sheet_is_one_path()
            self.nothing_happens_out_of_turn()
            self.quotes_end_once_and_decisions_fit()
            self.bills_stay_within_what_was_agreed()
            self.bins_agree_with_their_moves()
            self.history_holds()
            self.each_event_has_its_letter()
            assert prove() == []
            assert recount().faults == []
        self.changed = False

    def sheet_is_one_path(self) -> None:
        for order in Order.objects.all():
            path = [(f["from"], f["to"]) for f in facts(order, "moved")]
            assert set(path) <= LEGAL
            assert all(a[1] == b[0] for a, b in zip(path, path[1:], strict=False))
            assert order.station == (path[-1][1] if path else int(Station.GOODS_IN))
            unsigned = list(order.lines.filter(signed_at__isnull=True))
            if order.station == Station.HOME:
                assert unsigned == []
                assert order.closed_at is not None
            else:
                assert [line.station for line in unsigned] == [order.station]

    def nothing_happens_out_of_turn(self) -> None:
        """Rule 1, station by station: what must be there before the sheet may stand where it stands."""
        for order in Order.objects.all():
            been = {f["to"] for f in facts(order, "moved")}
            if been - {int(Station.HOME)}:
                assert hasattr(order, "arrival"), "past goods in without a parcel"
            if Quote.objects.filter(order=order).exists() or int(Station.QUOTE) in been:
                assert Finding.objects.filter(order=order).exists(), "a price before a finding"
            if int(Station.REPAIR) in been:
                assert Decision.objects.filter(quote__order=order, choice="mend").exists()
            if Invoice.objects.filter(order=order, quote__isnull=False, why="", kind="invoice").exists():
                assert TestRun.objects.filter(order=order, passed=True).exists(), (
                    "a bill before a passed test"
                )
            if order.outcome == "withdrawn":
                assert not been - {int(Station.HOME)}, "withdrawn after it arrived"
            if int(Station.WAY_HOME) in been:
                assert Parcel.objects.filter(order=order).exists()
            if order.station == Station.HOME and order.outcome not in ("withdrawn", "recycled"):
                assert Parcel.objects.filter(order=order).exists(), "home without having been sent"
            if order.station >= Station.GOODS_OUT:
                assert not stock.set_aside(order), "parts kept aside for an order that is finished"
                assert not order.quotes.filter(end__isnull=True).exists(), "a quote open on a finished order"

    def quotes_end_once_and_decisions_fit(self) -> None:
        for order in Order.objects.all():
            assert QuoteEnd.objects.filter(quote__order=order).count() <= order.quotes.count()
            assert order.quotes.filter(end__isnull=True).count() <= 1
        for quote in Quote.objects.all():
            assert quote.digest == offers.digest_of(quote.shown)
        for decision in Decision.objects.select_related("quote__end"):
            assert decision.digest == decision.quote.digest
            assert decision.quote.end.why == "decided"
            assert decision.at <= decision.quote.valid_until

    def bills_stay_within_what_was_agreed(self) -> None:
        for order in Order.objects.all():
            billed = sum((i.total for i in order.invoices.filter(kind="invoice")), Decimal(0))
            agreed = decisions.agreed_quote(order)
            told = (
                [agreed.total, agreed.no_fix_total] if agreed else [q.back_total for q in order.quotes.all()]
            )
            assert billed <= max([*told, Decimal(12)])
            if Parcel.objects.filter(order=order).exists() and billing.balance(order) > 0:
                assert Override.objects.filter(order=order).exists(), "sent unpaid"

    def bins_agree_with_their_moves(self) -> None:
        parts = Part.objects.annotate(hand=Sum("moves__on_hand_change"), aside=Sum("moves__reserved_change"))
        for part in parts:
            assert (part.on_hand, part.reserved) == (part.hand, part.aside)
            assert 0 <= part.reserved <= part.on_hand
        fitted: defaultdict = defaultdict(int)
        for move in Move.objects.filter(kind="consume"):
            fitted[move.order_id, move.part_id] -= move.on_hand_change
        assert all(count >= 0 for count in fitted.values()), "more put back than was fitted"

    def history_holds(self) -> None:
        assert history.verify() is None

    def each_event_has_its_letter(self) -> None:
        """Rule 5: the letters of an order are exactly those its rows demand, reminders aside."""
        for order in Order.objects.all():
            home = order.station == Station.HOME
            wanted = Counter(request_received=1, arrived=int(hasattr(order, "arrival")))
            for decision in Decision.objects.filter(quote__order=order):
                by_limit = decision.channel == "limit"
                wanted["agreed_by_limit" if by_limit else LETTER_OF[decision.choice]] += 1
                wanted["quote"] -= by_limit
            wanted["quote"] += order.quotes.count()
            wanted["quote_lapsed"] = order.quotes.filter(end__why="lapsed").count()
            wanted["mended"] = order.test_runs.filter(passed=True).count()
            wanted["paid"] = order.payments.filter(amount__gt=0).count()
            wanted["refunded"] = order.payments.filter(amount__lt=0).count()
            wanted["credited"] = order.invoices.filter(kind="credit").count()
            wanted["question_for_shop"] = order.messages.count()
            wanted["no_fix"] = len(facts(order, "no fix"))
            wanted["nothing_to_offer"] = (order.outcome == "no fix") - wanted["no_fix"]
            wanted["on_its_way"] = Parcel.objects.filter(order=order).count()
            wanted["withdrawn"] = int(order.outcome == "withdrawn")
            wanted["recycled"] = int(home and order.outcome == "recycled")
            wanted["home"] = int(home and order.outcome not in ("withdrawn", "recycled"))
            sent = Counter(order.letters.exclude(kind="quote_reminder").values_list("kind", flat=True))
            assert sent == +wanted


def facts(order: Order, what: str) -> list[dict]:
    return list(order.history.filter(what=what).order_by("seq").values_list("facts", flat=True))


def walk_lines(part: str, more: list[dict]) -> list[dict]:
    return lines_of(["Fit jumper wire"], [part], more=more)


def pressing(*, runs: int, steps: int) -> None:
    """So many runs of so many presses at most; the first rule that breaks comes through."""
    run_state_machine_as_test(
        Presses,
        settings=settings(
            # Shrinking a failure would take many minutes; the steps printed are enough to see it.
            phases=[Phase.generate],
            max_examples=runs,
            stateful_step_count=steps,
            deadline=None,
            derandomize=True,
            database=None,
            report_multiple_bugs=False,
            suppress_health_check=list(HealthCheck),
        ),
    )


@pytest.mark.long
def test_rules_hold_whatever_is_pressed(bench, size):
    pressing(runs=size(60, 1500), steps=size(25, 50))
