"""What the body of the open station needs on the customer's page."""

from collections.abc import Mapping
from typing import Any

from django.forms import Form
from django.http import QueryDict

from intake import cells, codes
from intake.models import Order
from intake.stations import Outcome, Station
from quotes.agreed import agreed_quote, deposit_asked
from quotes.models import Decision, Quote
from quotes.offered import offered, offered_as
from shop.bench.testing import GOOD
from shop.models import TestRow
from shop.window import facts
from shop.window.bill import bill_of, changes_table, extras_said, facts_of
from shop.window.facts import Facts
from shop.window.forms import ChoiceForm, PostedForm, version_form
from shop.window.reading import REFUSALS
from shop.window.words import battery_back


def context_of(order: Order, known: Facts, given: Mapping[str, Form], *, picked: QueryDict) -> dict[str, Any]:
    """`picked` is the answer that was chosen before the way back from the last look; it is not ticked by us."""
    context: dict[str, Any] = {"finding": known.finding, "decision": known.decision}
    at, quote = order.at_station, known.quote
    if at is Station.GOODS_IN:
        context |= {
            "posted_form": given.get("posted") or PostedForm(),
            "version_form": version_form(order),
            "after_liquid": cells.liquid_caution(order.before),
        }
    if quote is not None:
        context |= _read_again(quote, known.decision)
    if known.open and quote is not None:
        context |= {
            "choice_form": given.get("choice") or ChoiceForm(initial=_picked(picked, quote), shown=quote),
            "changes": changes_table(quote),
        }
    if at is Station.GO_AHEAD and quote is not None:
        context["standing"] = known.decision if _asks_again(quote) else None
    if at is Station.REPAIR:
        context |= _at_work(order, known)
    if at >= Station.TEST:
        context |= _done(order)
    if at >= Station.GOODS_OUT:
        context |= {"recycled": order.outcome == Outcome.RECYCLED}
    if at is Station.GOODS_OUT:
        context |= {"battery_back": battery_back(order)}
    return context


def _read_again(quote: Quote, decision: Decision | None) -> dict[str, Any]:
    """The quote with the bill of what was answered; before an answer, that of the repair."""
    answered = decision if decision is not None and decision.quote_id == quote.pk else None
    choice = answered.choice if answered else "mend"
    taken = answered.extras if answered else ()
    row = offered_as(quote.shown, choice)
    return {
        "quote": quote,
        "refused": choice in REFUSALS,
        "bill": bill_of(quote, choice, taken),
        "facts": facts_of(row, quote) if row else [],
        "taken": extras_said(row, taken, quote.currency) if row else [],
    }


def _picked(given: QueryDict, quote: Quote) -> dict[str, Any]:
    return {
        "quote": quote.digest,
        "choice": given.get("choice", ""),
        "extras": given.getlist("extras"),
    }


def _asks_again(quote: Quote) -> bool:
    """Whether an earlier agreement stands beside this quote."""
    return any(row.choice == "first" for row in offered(quote.shown))


def _at_work(order: Order, known: Facts) -> dict[str, Any]:
    context: dict[str, Any] = {"doing": known.doing}
    if _may_stop(order):
        context |= {"may_stop": True, "version_form": version_form(order)}
    asked = deposit_asked(order)
    if asked:
        context["deposit"] = {
            "asked": asked,
            "open": known.deposit,
            "came": [row for row in order.payments.all() if row.purpose == "deposit"],
            "reference": codes.payment_reference(order.code),
        }
    return context


def _may_stop(order: Order) -> bool:
    agreed = agreed_quote(order)
    return (
        agreed is not None
        and agreed.decision.channel == Decision.Channel.LIMIT
        and not facts.work_has_begun(order)
    )


def _done(order: Order) -> dict[str, Any]:
    run = order.test_runs.filter(passed=True).order_by("-number").first()
    rows = list(run.rows.all()) if run is not None else []
    return {
        "steps": list(order.steps.filter(done_at__isnull=False)),
        "test_rows": rows,
        "not_passed": sum(row.result not in GOOD for row in rows),
        "not_tested": [row for row in rows if row.result == TestRow.Result.CANNOT],
        "bad_already": [row for row in rows if row.result == TestRow.Result.ALREADY],
        "second_by": run.second_by if run is not None else None,
    }
