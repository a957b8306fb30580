"""Walks the history from its first entry and says in one sentence whether it is whole."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from intake import heads, history
from intake.refusals import Refused
from intake.wording import count


class Command(BaseCommand):
    help = "Walk the whole history; with --head compare it with the head that a letter of the day says."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--head", default="", help="number and digest from a letter, such as 1234:9f8e..."
        )

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            known = heads.read(options["head"]) if options["head"] else None
        except Refused as refusal:
            raise CommandError(refusal.sentence) from refusal
        broken = history.verify() or (heads.compare(known) if known else None)
        if broken:
            raise CommandError(broken)
        newest = heads.newest()
        more = f" It holds entry {known.seq} as the letter says it." if known else ""
        self.stdout.write(f"The history is whole: {count(newest.seq, 'entry', 'entries')}.{more}")
        self.stdout.write(f"Its head: {newest}")
