"""When hands are at the invented bench, and the days it was closed on its own account."""

from shop.books.hours import current_hours
from shop.books.hours_change import change_hours
from shop.demo.stage import World


def say(world: World) -> None:
    """Said on the first day: own days of the books rest on it, and nothing there is guessed."""
    usual = current_hours()
    given = {"days": usual.week.days, "country": "", "region": "", "closed": ()}
    change_hours(changes=given, seen_version=usual.version, by=world.owner, at=world.ago(89))
