"""Is the test of all rules any good? One line of a rule is broken at a time, and the random pressing must find each.

Each fault is a line of the real source and what stands in its place. A line that is no longer there fails too, so that the
list stays that of today's rules. Only in the long form: each fault needs up to some hundred random walks.
"""

import inspect
import textwrap
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import pytest

from intake import history, letters, lifecycle, questions, submissions
from quotes import decisions, ledger, offers, payments, stock
from shop.bench import repair, testing
from shop.books import keep
from shop.returns import out
from tests.shop.test_sheet_rules import pressing

FAULTS: dict[str, tuple[Callable[..., Any], str, str]] = {
    "an old page still moves the sheet": (lifecycle._move, ", version=seen_version).update", ").update"),
    "an act may be done at any station": (lifecycle.must_stand_at, "if order.station not in stations:", "if False:"),
    "a station that is left is not signed": (
        lifecycle.advance, "_sign_open_line(order, by=by, at=at, note=note, minutes=minutes)", "pass",
    ),
    "the history tells of another station": (lifecycle.advance, '"to": int(to)', '"to": int(come_from)'),
    "a move leaves no history": (lifecycle.advance, 'history.record(order=order, what="moved"', 'dict(order=order, what="moved"'),
    "a sheet at home is not closed": (lifecycle._move, 'changes["closed_at"] = at', "pass"),
    "the head of the history forgets its digest": (history.record, "update(seq=seq, digest=digest)", "update(seq=seq)"),
    "an entry keeps another fact than was sealed": (history.record, "facts=plain, previous=previous", 'facts={**plain, "x": 1}, previous=previous'),
    "letters of all orders share a key": (letters.tell, 'key=f"{kind}:{ref}"', 'key=f"{kind}:1"'),
    "a question posted twice is two": (questions.ask, "if known is not None:", "if False:"),
    "who calls off is not told": (submissions.withdraw, 'kind="withdrawn"', 'kind="recycled"'),
    "more is put aside than the bin holds": (stock.reserve, 'on_hand__gte=F("reserved") + quantity + barred', "on_hand__gte=0"),
    "what is put aside is not counted": (stock.reserve, '\n        reserved=F("reserved") + quantity\n', '\n        reserved=F("reserved")\n'),
    "a fitted part stays in the bin": (stock.take, "row.on_hand -= quantity", "pass"),
    "a fitted part stays put aside": (stock.take, "row.reserved -= from_aside", "pass"),
    "a part put back does not lie in the bin": (stock.give_back, 'F("on_hand") - move.on_hand_change', 'F("on_hand")'),
    "a part is put back twice": (repair.put_back, 'key = f"back:{move.pk}"', 'key = f"back:{move.pk}:{Move.objects.count()}"'),
    "parts stay put aside at the end": (stock.release_all, "sorted(set_aside(order).items())", "()"),
    "a second press uses a second part": (repair.use_part, "quantity=quantity, order=order, key=key", 'quantity=quantity, order=order, key=f"{key}{Move.objects.count()}"'),
    "a payment is in no journal": (ledger.post, "Posting.objects.bulk_create(", "list("),
    "a payment is kept with another amount": (payments._write, "amount=quantize(amount, order.currency)", "amount=quantize(amount + 1, order.currency)"),
    "who pays is not told": (payments._pay, 'kind="paid" if amount > 0 else "refunded"', 'kind="credited"'),
    "it leaves unpaid": (out.gate, "owed=billing.balance(order)", "owed=Decimal(0)"),
    "the books miss what left": (keep.keep, "if known := list(", "if known := [] and list("),
    "a bad row is signed as passed": (testing.sign_pass, "_may_pass(run, by)", "passed = True"),
    "an old answer counts": (decisions._still_open, "if end is not None or answer.digest != quote.digest:", "if False:"),
    "a quote that was answered stays open": (decisions.decide, "QuoteEnd.objects.create(quote=quote, why=QuoteEnd.Why.DECIDED, at=at)", "pass"),
    "a quote lapses without a word": (offers.lapse, 'kind="quote_lapsed"', 'kind="fresh_link"'),
}  # fmt: skip


SOONEST = "an old page still moves the sheet"


@contextmanager
def broken(function: Callable[..., Any], line: str, instead: str) -> Iterator[None]:
    """The function with one line changed, for everybody who holds it."""
    plain = inspect.unwrap(function)
    source = textwrap.dedent(inspect.getsource(plain))
    assert source.count(line) == 1, f"{plain.__name__} has no line like: {line}"
    source = source[source.index("def ") :].replace(line, instead)
    made: dict[str, Any] = {}
    exec(compile(source, f"<{plain.__name__}, broken>", "exec"), plain.__globals__, made)  # noqa: S102 -- our own source
    code, plain.__code__ = plain.__code__, made[plain.__name__].__code__
    try:
        yield
    finally:
        plain.__code__ = code


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """The short form looks for the fault that is found soonest."""
    if "fault" in metafunc.fixturenames:
        found = list(FAULTS) if metafunc.config.getoption("--long") else [SOONEST]
        metafunc.parametrize("fault", found)


def test_each_fault_is_a_line_of_the_rules_as_they_are():
    for function, line, instead in FAULTS.values():
        with broken(function, line, instead):
            assert line != instead


def test_without_a_fault_nothing_is_found(bench):
    pressing(runs=3, steps=10)


@pytest.mark.long
def test_seeded_fault_is_found(bench, fault):
    with broken(*FAULTS[fault]), pytest.raises(Exception) as found:  # noqa: PT011, B017 -- a broken rule or what it runs into
        pressing(runs=400, steps=30)
    print(f"{fault}: {type(found.value).__name__}: {str(found.value)[:200]}")
