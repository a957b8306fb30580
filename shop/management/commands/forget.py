"""Lets go what is over its time, as the plan of keeping says."""

from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from intake import drain
from shop.keeping import forgetting, tombstones
from shop.keeping.row_words import named


class Command(BaseCommand):
    help = (
        "Let go what is over its time by the plan of keeping; --dry only lists it; "
        "--again erases again whoever a restored copy brought back."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        which = parser.add_mutually_exclusive_group()
        which.add_argument("--dry", action="store_true", help="list what would go, and change nothing")
        which.add_argument("--again", action="store_true", help="erase again whoever was erased before")

    def handle(self, *args: Any, **options: Any) -> None:
        at = drain.now()
        if options["again"]:
            self.stdout.write(f"Erased again: {tombstones.apply(at=at)}.")
        elif options["dry"]:
            for due in forgetting.dry(at=at):
                self.stdout.write(_line(due))
        else:
            done = {name: count for name, count in forgetting.forget(at=at).items() if count}
            said = ", ".join(f"{name} {count}" for name, count in done.items())
            self.stdout.write(f"Let go: {said}." if said else "Nothing was over its time.")


def _line(due: forgetting.Due) -> str:
    if due.days is None:
        return f"{due.title}: kept for good."
    rows = "; ".join(f"{name} {count}" for name, count in sorted(named(due.rows)))
    orders = f" ({' '.join(due.orders)})" if due.orders else ""
    return f"{due.title}, {due.days} days: {rows or 'nothing'}{orders}."
