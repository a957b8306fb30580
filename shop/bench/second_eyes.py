"""The second pair of eyes: another person looks over a filled test sheet before it is signed."""

import datetime as dt

from intake import history
from intake.history import in_turn
from intake.models import Person
from intake.refusals import Refused
from shop.bench.test_rows import blank_rows
from shop.models import TestRun

ALONE = "Only one person signs in here. A second pair of eyes needs a second person."


def can_be_had() -> bool:
    """Whether more than one person works here."""
    return Person.objects.filter(is_active=True).count() > 1


def wanted(run: TestRun) -> bool:
    """Whether this run's version of the list asks for it. A shop that has become one person is not locked out."""
    return run.sheet.second_eyes and can_be_had()


@in_turn
def confirm(*, run: TestRun, by: Person, at: dt.datetime) -> TestRun:
    """Another person than the tester has looked over every row. Raises Refused."""
    fresh = TestRun.objects.select_related("sheet", "order").get(pk=run.pk)
    if fresh.signed_at is not None:
        raise Refused("This test is signed. It cannot be changed.")
    if not fresh.sheet.second_eyes:
        raise Refused("This list does not ask for a second pair of eyes.")
    if blank := blank_rows(fresh):
        raise Refused(f"Row {blank[0].number} is blank. The second look comes after every row is filled.")
    if fresh.by_id == by.pk:
        raise Refused("You tested it. The second pair of eyes is another person, signed in as themselves.")
    TestRun.objects.filter(pk=run.pk).update(second_by=by, second_at=at)
    history.record(order=fresh.order, what="second look", by=by.username, at=at, facts={"test": fresh.number})
    return TestRun.objects.select_related("sheet", "second_by").get(pk=run.pk)


def must_be_had(run: TestRun, *, by: Person) -> None:
    """Raises Refused while the second look is missing, or where the one who signs gave it."""
    if run.second_by_id == by.pk:
        raise Refused("You looked it over as the second pair of eyes. The one who tested it signs.")
    if wanted(run) and run.second_by_id is None:
        raise Refused("The second pair of eyes is missing: another person looks over the rows first.")
