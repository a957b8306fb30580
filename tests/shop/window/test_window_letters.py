"""Every letter, written by the real actions: complete in plain text, once, without a tag or a bare variable."""

import datetime as dt
import html
import re
from decimal import Decimal
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from django.conf import settings
from django.db import transaction
from django.test import Client

from intake import arrivals, letters, questions, submissions
from intake.lifecycle import CUSTOMER
from intake.models import Letter, Letterhead, Order
from intake.stations import Station
from quotes import billing, decisions, offers, payments, statements
from quotes.decisions import Answer
from quotes.diagnosis import Found
from quotes.models import Finding
from shop import house_day
from shop.backup import nights
from shop.bench import repair
from shop.books.months import posting
from shop.branches import comeback, copies, own_damage, quarantine, wrong_device
from shop.doors import news
from shop.returns import out
from shop.traveller.signing import sign_finding
from tests import walk
from tests.window_pages import page_of, several_ways

AT = dt.datetime(2026, 2, 2, 9, 0, tzinfo=dt.UTC)
NAMES = "O'Neill & Daughters <b>"
KINDS = sorted(
    path.name.removesuffix(".subject.txt") for path in Path("templates/letters").glob("*.subject.txt")
)


def _go_ahead(bench: SimpleNamespace, **changes: object) -> Order:
    return walk.to(walk.request(at=AT, **changes), Station.GO_AHEAD, by=bench.technician, at=AT)


def every_letter(bench: SimpleNamespace) -> dict[str, Letter]:
    """One of each kind, written on the way of a dozen orders."""
    by = bench.technician
    home = walk.to(walk.request(at=AT, name=NAMES), Station.HOME, by=by, at=AT)
    questions.ask(order=home, text="Is it <b>safe</b>?\nIt's mine.", form_key="q", at=AT)
    questions.answer(order=home, text="It is, Mara's photos too.", form_key="a", by=by, at=AT)
    gone = walk.request(at=AT)
    submissions.withdraw(order=gone, seen_version=gone.version, by=CUSTOMER, at=AT)
    hopeless = walk.to(walk.request(at=AT), Station.DIAGNOSIS, by=by, at=AT)
    walk.find(hopeless, by=by, at=AT, mendable="no")
    late = _go_ahead(bench)
    quote = late.quotes.get()
    offers.remind(quote=quote, number=1, at=AT)
    offers.lapse(quote=quote, at=quote.valid_until + dt.timedelta(days=1))
    _go_ahead(bench, standing_limit=quote.total)
    for choice in ("back", "recycle"):
        order = _go_ahead(bench)
        walk.answer(order, choice=choice, at=AT)
    out.recycle(order=order, seen_version=order.version, method="Destroyed", by=by, at=AT)
    _first_only(bench)
    _no_fix_and_credit(bench)
    _statement(bench, home)
    _branches(bench, home)
    with transaction.atomic():
        letters.post(order=home, kind="fresh_link", key="f", to="a@example.com", context={}, at=AT)
        letters.post(
            order=None, kind="request_resume", key="r", to="a@example.com",
            context={"link_address": "https://bench.example.com/request/resume/x/"}, at=AT,
        )  # fmt: skip
    posting.post_due(at=AT + dt.timedelta(days=31))
    nights.warn(at=AT + dt.timedelta(days=31))
    house_day.post_due(AT + dt.timedelta(hours=12))
    with transaction.atomic():
        news.tell(by, "set up", by=by, at=AT)
        news.many_tries(120, at=AT, hour="2026-02-02T09")
    return {letter.kind: letter for letter in Letter.objects.order_by("-id")}


def _first_only(bench: SimpleNamespace) -> None:
    order = walk.to(walk.request(at=AT), Station.REPAIR, by=bench.technician, at=AT)
    second = Finding.objects.create(
        order=order, key="second", fault_class="short", words="A second fault.", mendable="yes", at=AT,
        by=bench.technician,
    )  # fmt: skip
    offers.second_fault(order=order, seen_version=order.version, found=second, by=bench.technician, at=AT)
    order.refresh_from_db()
    walk.quote(order, by=bench.technician, at=AT, parts=())
    walk.answer(order, choice="first", at=AT)


def _no_fix_and_credit(bench: SimpleNamespace) -> None:
    order = walk.to(walk.request(at=AT), Station.REPAIR, by=bench.technician, at=AT)
    repair.no_fix(
        order=order,
        seen_version=order.version,
        words="The board's core is cracked.",
        by=bench.technician,
        at=AT,
    )
    walk.pay(order, by=bench.technician, at=AT)
    billing.credit(invoice=order.invoices.get(), why="A goodwill gesture", by=bench.technician, at=AT)
    payments.refund(
        order=order, kind="card", amount=-billing.balance(order), key="back", by=bench.technician, at=AT,
        note="Goodwill",
    )  # fmt: skip
    billing.bill_again(order=order, by=bench.technician, at=AT)
    payments.make_good(
        order=order, kind="transfer", amount=Decimal(50), key="good", why="We <b>cracked</b> the glass",
        by=bench.owner, at=AT,
    )  # fmt: skip


def _branches(bench: SimpleNamespace, home: Order) -> None:
    """Copied data, both kinds of comeback, a wrong device, a bad battery, our own damage."""
    by = bench.technician
    order = walk.to(walk.request(at=AT), Station.TEST, by=by, at=AT)
    walk.test_and_pass(order, by=by, at=AT, outcome="data only")
    copies.delete_copy(copy=order.data_copies.get(), how="Overwritten, then deleted", by=by, at=AT)
    for number, cause in enumerate(("work", "damage")):
        words = f"Back {number}."
        again = arrivals.start_comeback(order=home, words=words, form_key=f"b{number}", by=by, at=AT)
        walk.receive(again, by=by, at=AT)
        comeback.say_cause(order=again, said=comeback.Said(cause, words), key=f"b{number}", by=by, at=AT)
        found = Found(
            fault_class="own work", words="A joint has cracked.", mendable="yes", idea_answer="none"
        )
        sign_finding(order=again, seen_version=again.version, found=found, key=f"b{number}", by=by, at=AT)
    for how in ("form", "swapped", "back"):
        order = walk.receive(walk.request(at=AT), by=by, at=AT, serial_read="ZZ-0471")
        ended = wrong_device.Ended(how=how, words="Mara says so, by phone.", serial="ZZ-0471")
        wrong_device.end_wrong_device(order=order, seen_version=order.version, ended=ended, by=by, at=AT)
    for way in ("battery", "device"):
        order = walk.receive(walk.request(at=AT), by=by, at=AT, cell_state="swollen")
        dealt = quarantine.Dealt(how=way, words="Given to the yard.", consent="Mara, by letter.")
        quarantine.end_quarantine(order=order, seen_version=order.version, dealt=dealt, by=by, at=AT)
    order = walk.to(walk.request(at=AT), Station.REPAIR, by=by, at=AT)
    harm = own_damage.Harm(words="Hot air melted the socket.", offered="We pay its value.", worth=Decimal(90))
    own_damage.own_damage(order=order, seen_version=order.version, harm=harm, key="h", by=by, at=AT)


def _statement(bench: SimpleNamespace, order: Order) -> None:
    customer = order.customer
    assert customer is not None
    customer.trade = True
    customer.save()
    statements.send_statement(
        customer=customer, month=AT.date().replace(day=1), by=bench.owner, at=AT + dt.timedelta(days=31)
    )


_WRITTEN: dict[str, Letter] = {}


@pytest.fixture
def written(bench: SimpleNamespace) -> dict[str, Letter]:
    """Written once for all tests here: they read the words, not the rows."""
    if not _WRITTEN:
        _WRITTEN.update(every_letter(bench))
    return _WRITTEN


def test_every_kind_is_written_and_complete(written: dict[str, Letter]) -> None:
    assert sorted(written) == KINDS
    head = Letterhead.current()
    for kind, letter in written.items():
        assert letter.subject and "&" not in letter.subject.replace("& D", ""), kind
        assert len(letter.subject) < 78, f"{kind}: {letter.subject}"
        assert head.name in letter.text and "{" not in letter.text + letter.subject, kind
        assert "&#" not in letter.text and "None" not in letter.text, kind
        assert not re.search(r"\n\n\n|\. \.|\.\.|  \w", letter.text), kind
        assert len(letter.text) > 350, kind
        assert "turn" in letter.text or "need do nothing" in letter.text or kind in {
            "home", "fresh_link", "request_resume", "withdrawn", "credited", "refunded", "recycled", "answer",
            "paid", "statement", "made_good", "copy_deleted", "device_given", "books_month", "sign_in_news", "backup_late", "house_day",
        }, kind  # fmt: skip


def test_text_and_html_say_the_same(written: dict[str, Letter]) -> None:
    for kind, letter in written.items():
        body = re.sub(r"<style>.*?</style>|<title>.*?</title>", "", letter.html, flags=re.DOTALL)
        seen = html.unescape(re.sub(r"<[^>]+>", " ", body))
        words = re.findall(r"[\w$.,']+", letter.text.split("\n-- ")[0])
        missing = [word for word in words if word not in seen]
        assert not missing, f"{kind}: {missing}"


def test_only_a_customers_letter_holds_the_customers_link(written: dict[str, Letter]) -> None:
    for kind, letter in written.items():
        wants = kind not in {
            "sign_in_news",
            "many_tries",
            "question_for_shop",
            "request_resume",
            "statement",
            "books_month",
            "backup_late",
            "house_day",
        }
        assert (letter.link_id is not None, "[[link]]" in letter.text) == (wants, wants), kind
        assert "/answer/" not in letter.text + letter.html, "no letter holds an address that decides"
    assert "https://bench.example.com/request/resume/x/" in written["request_resume"].text


def test_shop_of_two_street_lines_is_written_line_by_line(bench: SimpleNamespace, client: Client) -> None:
    Letterhead.objects.update(street="Unit 4\n12 Example Row")
    order = walk.request(at=AT)
    lines = ["Unit 4", "12 Example Row", "Anytown"]
    letter = order.letters.get(kind="request_received")
    assert letter.text.count("\n".join(lines[:2])) == 2, "in the words and at the foot"
    for html_ in (letter.html, page_of(order, client)):
        told = re.sub(r"\s*<br>\s*", "<br>", html_)
        assert "Unit 4<br>12 Example Row<br>" in told and not re.search(r"Unit 4\s+12", told)
    assert all(line.upper() in letter.text.upper() for line in lines)


def test_names_are_text_in_both_parts(written: dict[str, Letter]) -> None:
    letter = written["home"]
    assert NAMES in letter.text
    assert "O&#x27;Neill &amp; Daughters &lt;b&gt;" in letter.html


def test_amounts_and_cautions_stand_where_they_are_due(written: dict[str, Letter]) -> None:
    assert "CAUTION, battery" in written["request_received"].text
    total = re.search(r"can be mended for (\$\d+\.\d\d)$", written["quote"].subject)
    assert total is not None and f"- Mend it: {total[1]} in all." in written["quote"].text
    assert "- Recycle it: nothing to pay." in written["quote"].text
    assert "If the repair fails you pay" in written["quote"].text
    assert "To pay:" in written["mended"].text and "reference RF" in written["mended"].text
    assert "nothing for the work" in written["no_fix"].text


def _answered(bench: SimpleNamespace, choice: str, **changes: Any) -> dict[str, Letter]:
    order = walk.to(walk.request(at=AT), Station.GO_AHEAD, by=bench.technician, at=AT)
    quote = several_ways(order)
    given = {"extras": [], "channel": "link", "consents": [], **changes}
    decisions.decide(
        quote=quote,
        answer=Answer(choice=choice, typed_name="Mara Ellwick", digest=quote.digest, button="Yes", **given),
        at=AT,
    )
    return {letter.kind: letter for letter in order.letters.all()}


def test_yes_with_extras_names_them_and_the_deposit(bench: SimpleNamespace) -> None:
    agreed = _answered(bench, "mend", extras=["e1", "e2"])["agreed"]
    assert agreed.subject.endswith("agreed, we mend it for $150.02")
    for words in ("- Front film: $19.00", "- Clean the vents: $11.02", "the deposit you agreed to: $40.00", "reference RF",
                  "It is your turn now; we order the part"):  # fmt: skip
        assert words in agreed.text
    assert "Nothing to pay yet" not in agreed.text


def test_spoken_yes_to_a_cleaning_repeats_its_conditions(bench: SimpleNamespace) -> None:
    agreed = _answered(
        bench, "clean", channel="phone", noted_by=bench.technician, called_number="555-0101", spoken_at=AT,
        conditions="Only if it is back by Friday.",
    )["agreed"]  # fmt: skip
    assert agreed.subject.endswith("agreed, we clean it for $60.00")
    for words in ("as you said it on", "Only if it is back by Friday.", "it may not work after the cleaning",
                  "If it fails you pay $60.00 and no more.", "Nothing to pay yet", "tell us at once"):  # fmt: skip
        assert words in agreed.text


def test_time_is_the_shops_own_whatever_asks(bench: SimpleNamespace) -> None:
    Letterhead.objects.update(zone="Asia/Tokyo")
    order = walk.to(walk.request(at=AT), Station.DIAGNOSIS, by=bench.technician, at=AT)
    assert settings.TIME_ZONE == "UTC"
    assert "Mon 2 Feb, 18:00" in order.letters.get(kind="arrived").text
