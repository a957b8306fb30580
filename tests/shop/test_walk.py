"""The whole walk through the actions: what stands on the sheet, in stock, in the books and in the outbox."""

from datetime import datetime
from decimal import Decimal
from types import SimpleNamespace

from intake import history
from intake.models import HistoryEntry, Letter
from intake.stations import Outcome, Station
from quotes import billing
from quotes.models import Part
from tests import walk


def test_walk_from_the_form_to_the_doorstep(bench: SimpleNamespace, at: datetime) -> None:
    order = walk.to(walk.request(at=at), Station.HOME, by=bench.technician, at=at)
    assert (order.station, order.outcome) == (Station.HOME, Outcome.FIXED)
    # Invented demo order Q-1001: 96.00 labour, 4.00 part with 8 % tax on parts, 12.00 return post.
    invoice = order.invoices.get()
    assert (invoice.net, invoice.tax, invoice.total) == (
        Decimal("112.00"),
        Decimal("0.32"),
        Decimal("112.32"),
    )
    assert billing.balance(order) == 0
    assert [line.initials for line in order.lines.all()] == [
        "WEB",
        "PD",
        "PD",
        "PD",
        "WEB",
        "PD",
        "PD",
        "PD",
        "PD",
    ]
    part = Part.objects.get(number="WIRE-002")
    assert (part.on_hand, part.reserved) == (59, 0)
    assert part.on_hand == sum(move.on_hand_change for move in part.moves.all())
    assert list(Letter.objects.values_list("kind", flat=True)) == [
        "request_received", "arrived", "quote", "agreed", "mended", "paid", "on_its_way", "home",
    ]  # fmt: skip
    assert order.warranty.ends.isoformat() == "2026-05-03"
    assert history.verify() is None
    assert HistoryEntry.objects.filter(order=order, what="moved").count() == 8
