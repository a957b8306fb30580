"""What the bank's page shows: lines without a match with what they may be, and card reports that wait."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from django.core.paginator import Paginator
from django.forms import Form
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from intake.models import Letterhead
from quotes.bank.matching import Proposal, propose
from quotes.bank.open_bills import Booked, booked_by_hand, line_of, open_bills
from quotes.cards.waiting import waiting
from quotes.models import BankLine, BankMatch, BankStatement
from shop.banking.forms import ByHandForm, FileForm, WhyForm

A_PAGE = 20
RECENT_REASONS = 12


@dataclass
class ShownLine:
    """A movement, what it may be, and the forms to say something else."""

    row: BankLine
    by_hand: Form
    why: Form
    proposals: list[Proposal] = field(default_factory=list)
    booked: list[Booked] = field(default_factory=list)
    open: bool = False


def unmatched() -> Any:
    """Movements nobody has said anything of, the oldest first."""
    return BankLine.objects.filter(match__isnull=True).select_related("statement").order_by("day", "pk")


def render_desk(
    request: HttpRequest,
    *,
    file_form: Form | None = None,
    at_line: int | None = None,
    forms: Mapping[str, Form] | None = None,
    status: int = 200,
) -> HttpResponse:
    """The page as it stands. `forms` are bound ones of the line `at_line`, which is shown whatever page it is on."""
    head = Letterhead.current()
    page = Paginator(unmatched(), A_PAGE).get_page(request.GET.get("page"))
    rows = list(page)
    if at_line is not None and all(row.pk != at_line for row in rows):
        rows = list(unmatched().filter(pk=at_line)) + rows
    context = {
        "form": file_form or FileForm(),
        "head": head,
        "page": page,
        "lines": _shown(rows, head.currency, at_line, forms or {}),
        "reports": waiting(),
        "why_form": WhyForm(),
        "statements": BankStatement.objects.select_related("by")[:5],
        "reasons": recent_reasons(),
        "focus": "next" in request.GET,
        "errors_present": bool(forms) or (file_form is not None and bool(file_form.errors)),
    }
    return render(request, "shop/banking/desk.html", context, status=status)


def _shown(
    rows: list[BankLine], currency: str, at_line: int | None, forms: Mapping[str, Form]
) -> list[ShownLine]:
    bills = open_bills(currency, [line_of(row) for row in rows]) if rows else []
    shown = []
    for row in rows:
        own = forms if row.pk == at_line else {}
        line = ShownLine(
            row=row,
            by_hand=own.get("by_hand")
            or ByHandForm(whole=row.amount, currency=row.statement.currency, auto_id=f"hand-{row.pk}-%s"),
            why=own.get("why") or WhyForm(auto_id=f"why-{row.pk}-%s"),
            booked=booked_by_hand(row),
            open=bool(own),
        )
        if row.amount > 0 and row.statement.currency == currency:
            line.proposals = propose(line_of(row), bills)
        shown.append(line)
    return shown


def recent_reasons() -> list[str]:
    """What was said before of movements that are no customer's, the newest first, for picking instead of typing."""
    rows = BankMatch.objects.filter(payment__isnull=True).order_by("-at").values_list("why", flat=True)[:200]
    return list(dict.fromkeys(rows))[:RECENT_REASONS]
