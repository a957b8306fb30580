"""Erases a person: everything about them goes but what must stay, and the accounts, the books and the chain count as before.

Bills, statements and the bank's lines keep name and address while their time runs (the plan's line for bills), then lose
them too. What was erased is told in kinds and counts, never in words.
"""

import datetime as dt
from dataclasses import dataclass, field

from django.db import transaction
from django.db.models import Q

from intake import history, tokens
from intake.history import in_turn
from intake.lifecycle import Actor
from intake.models import Customer, Draft, HistoryHead, Letter, Order, Paper, Photo
from intake.refusals import Refused
from quotes.models import Dispute
from quotes.owed import standings
from shop.keeping import clearing, register, tombstones
from shop.keeping.kinds import days_of
from shop.keeping.places import Scope, rows_of, scope_of, written_to_them_alone
from shop.keeping.plans import current
from shop.models import DataCopy, Erasure
from shop.office.kept import drop_all as drop_kept_posts
from shop.vault import unlocking

GONE_LETTER = "Not sent: its person was erased."


@dataclass
class Outlook:
    """What erasing a person would do. `blanked` and `kept`: rows by kind; `why_not`: sentences that stand against it."""

    blanked: dict[str, int] = field(default_factory=dict)
    kept: dict[str, list[str]] = field(default_factory=dict)
    why_not: list[str] = field(default_factory=list)
    orders: tuple[str, ...] = ()


def outlook(customer: Customer, *, at: dt.datetime) -> Outlook:
    """Reads only: the dry list of one person."""
    scope = scope_of(customer)
    found = Outlook(why_not=why_not(customer, scope), orders=_codes(scope))
    for row, columns in register.cleared().items():
        if count := clearing.left_to_clear(row, [c.name for c in columns], rows_of(row, scope)):
            found.blanked[_said(row)] = count
    counts = {
        "photos": Photo.objects.filter(_photos(scope)).count(),
        "paper files": clearing.papers_with_names(scope.orders).count(),
        "requests": Draft.objects.filter(order__in=scope.orders).count(),
        "other letters": written_to_them_alone(customer).exclude(text="").count(),
    }
    found.blanked |= {name: count for name, count in counts.items() if count}
    found.kept, _ = _money(scope, at=at)
    return found


def why_not(customer: Customer, scope: Scope) -> list[str]:
    """What stands against erasing a person now, each a sentence."""
    orders = Order.objects.filter(pk__in=scope.orders)
    said = [f"Order {order.code} is still open." for order in orders.filter(closed_at__isnull=True)]
    sums = standings(order__in=scope.orders) if scope.orders else {}
    codes = dict(orders.values_list("pk", "code"))
    for pk, sum_ in sums.items():
        if sum_.balance > 0:
            said.append(f"Money is still owed for order {codes[pk]}.")
        elif sum_.balance < 0 or sum_.deposit_held:
            said.append(f"Order {codes[pk]} still holds money of theirs.")
    if Dispute.objects.filter(payment__order__in=scope.orders, end__isnull=True).exists():
        said.append("A payment of theirs is in dispute.")
    for copy in DataCopy.objects.filter(order__in=scope.orders, deleted_at__isnull=True).select_related(
        "order"
    ):
        said.append(f"Our copy of the data of order {copy.order.code} is not deleted yet.")
    if Letter.objects.filter(order__in=scope.orders, state=Letter.State.CLAIMED).exists():
        said.append("A letter to them is on its way this minute.")
    if customer.erased_at is not None:
        said.append("This person was erased already.")
    return said


def erase(*, customer: Customer, why: str, by: Actor, at: dt.datetime) -> Erasure:
    """Erase a person, write it down, and keep a line outside the database so that a restore does it again.

    Raises Refused while an order or money of theirs is open.
    """
    done = _erase(customer=customer, why=why, by=by, at=at)
    digest = HistoryHead.objects.get(pk=1).digest
    # Where it cannot be written now, the next night writes it from the row: what is erased is not undone for it.
    transaction.on_commit(lambda: tombstones.keep(customer.pk, at=at, digest=digest), robust=True)
    return done


@in_turn
def _erase(*, customer: Customer, why: str, by: Actor, at: dt.datetime) -> Erasure:
    fresh = Customer.objects.select_for_update().get(pk=customer.pk)
    scope = scope_of(fresh)
    if not why.strip():
        raise Refused("Write why: the person asked for it, say.", field="why")
    if against := why_not(fresh, scope):
        raise Refused(" ".join(against))
    blanked = clear_all(fresh, scope, at=at)
    kept, _ = _money(scope, at=at)
    row = Erasure.objects.create(
        customer=fresh, at=at, by=by.name[:40], why=why.strip()[:200], blanked=blanked, kept=kept
    )
    facts = {"customer": fresh.pk, "orders": len(scope.orders), "blanked": blanked, "kept": sorted(kept)}
    history.record(order=None, what="person erased", by=by.name, at=at, facts=facts)
    return row


def clear_all(customer: Customer, scope: Scope, *, at: dt.datetime) -> dict[str, int]:
    """Empty everything of a person, inside the caller's transaction. The same again changes nothing; returns rows by kind."""
    counts: dict[str, int] = {}
    _letters(customer, scope)
    drop_kept_posts()
    for order in Order.objects.filter(pk__in=scope.orders):
        tokens.revoke_links(order, at=at)
        unlocking.erase(order=order, why="The person was erased", by="erasure", at=at)
    counts["photos"] = clearing.remove_photos(Photo.objects.filter(_photos(scope)))
    counts["paper files"] = clearing.remove_papers(clearing.papers_with_names(scope.orders), at=at)
    counts["other letters"] = clearing.clear(
        "intake.Letter", _letter_columns(), written_to_them_alone(customer)
    )
    counts["requests"] = Draft.objects.filter(order__in=scope.orders).delete()[0]
    # What leads to other rows of theirs is emptied last.
    for row, columns in sorted(register.cleared().items(), key=lambda item: item[0] == "intake.Customer"):
        counts[_said(row)] = clearing.clear(row, [c.name for c in columns], rows_of(row, scope))
    counts |= _clear_money(scope, at=at)
    Customer.objects.filter(pk=customer.pk, erased_at__isnull=True).update(erased_at=at)
    return {name: count for name, count in counts.items() if count}


def _letter_columns() -> list[str]:
    return [column.name for column in register.cleared()["intake.Letter"]]


def _letters(customer: Customer, scope: Scope) -> None:
    """What has not gone goes no more."""
    waiting = Q(pk__in=rows_of("intake.Letter", scope)) | Q(pk__in=written_to_them_alone(customer))
    clearing.drop_letter_files(Letter.objects.filter(waiting))
    Letter.objects.filter(waiting, state__in=["pending", "held"]).update(
        state="closed", last_error=GONE_LETTER
    )


def _photos(scope: Scope) -> Q:
    return Q(order__in=scope.orders) | Q(draft__order__in=scope.orders)


def _money(scope: Scope, *, at: dt.datetime) -> tuple[dict[str, list[str]], dict[str, list[int]]]:
    """Papers of money: by kind until when each must stay and why; and the rows whose time is over."""
    plan = current()
    days, why = days_of(plan.days, "money"), str(plan.basis.get("money", "")) or "no reason was named"
    kept: dict[str, list[str]] = {}
    over: dict[str, list[int]] = {}
    for row, moment in (
        ("quotes.Invoice", "issued_at"),
        ("quotes.Statement", "at"),
        ("quotes.BankLine", "day"),
    ):
        for pk, when in rows_of(row, scope).order_by().values_list("pk", moment):
            day = when.date() if isinstance(when, dt.datetime) else when
            until = None if days is None else day + dt.timedelta(days=days)
            if until is not None and until <= at.date():
                over.setdefault(row, []).append(pk)
            else:
                said = until.isoformat() if until else "for good"
                kept[_said(row)] = [max(said, kept.get(_said(row), [said])[0]), why]
    return kept, over


def _clear_money(scope: Scope, *, at: dt.datetime) -> dict[str, int]:
    _, over = _money(scope, at=at)
    names = register.of_kind("money")
    counts = {}
    for row, pks in over.items():
        counts[_said(row)] = clearing.clear(row, names[row], rows_of(row, scope).filter(pk__in=pks))
    bills = over.get("quotes.Invoice", [])
    papers = Paper.objects.filter(maker__in=("invoice", "credit_note", "invoice_xml"), ref__in=bills)
    stated = Paper.objects.filter(maker="statement", ref__in=over.get("quotes.Statement", []))
    counts["bill files"] = clearing.remove_papers(papers, at=at) + clearing.remove_papers(stated, at=at)
    return counts


def _codes(scope: Scope) -> tuple[str, ...]:
    return tuple(Order.objects.filter(pk__in=scope.orders).order_by("pk").values_list("code", flat=True))


def _said(row: str) -> str:
    return row.partition(".")[2]
