"""Put a backup back into a place of its own."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from intake import drain
from intake.wording import count
from shop.backup import keys, restoring
from shop.backup.faults import BackupFault
from shop.backup.restoring import Place, Restored
from shop.keeping import tombstones

LOOK = (
    "This copy is for looking at: whatever is done in it, it mails nothing. "
    "To take over the work, restore once more with --to-work."
)
WORK = "Letters that waited are held: look at each on the page Letters before you let it go."


class Command(BaseCommand):
    help = "Open a backup into an empty folder (and, for PostgreSQL, an empty database), compare it, hold its letters."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", metavar="FILE", help="the backup, benchpost-....age")
        parser.add_argument(
            "--into", required=True, metavar="FOLDER", help="an empty folder: the copy's BENCHPOST_DATA"
        )
        parser.add_argument(
            "--database", default="", metavar="URL", help="an empty PostgreSQL database, for a backup of one"
        )
        parser.add_argument(
            "--identity", metavar="FILE", help="the key that opens it; this shop's own if left out"
        )
        parser.add_argument(
            "--erased",
            metavar="FILE",
            help="the list of erasures kept apart; BENCHPOST_DATA/erased.list if left out",
        )
        parser.add_argument(
            "--nobody-erased", action="store_true", help="nobody was ever erased, so there is no such list"
        )
        parser.add_argument(
            "--to-work", action="store_true", help="the copy takes over: its letters can be let go one by one"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        place = Place(Path(options["into"]).expanduser().absolute(), options["database"])
        erased = _list_of_erased(options["erased"], nobody=options["nobody_erased"])
        try:
            opening = keys.opening(Path(options["identity"]) if options["identity"] else None)
            restored = restoring.restore(Path(options["file"]).expanduser(), place, opening)
            done = restoring.settle(restored, to_work=options["to_work"], erased=erased, at=drain.now())
        except BackupFault as fault:
            raise CommandError(str(fault)) from fault
        self._say(restored, done, to_work=options["to_work"])
        if restored.differences:
            raise CommandError(
                f"The copy is there, but {count(len(restored.differences), 'thing is', 'things are')} not as the backup's list says."
            )

    def _say(self, restored: Restored, done: dict[str, Any], *, to_work: bool) -> None:
        made = restored.manifest
        for sentence in restored.differences:
            self.stderr.write(sentence)
        if not restored.differences:
            self.stdout.write(
                f"Equal row for row and file for file: {count(made.facts.rows, 'row')} in {count(len(made.facts.tables), 'table')}, "
                f"{count(len(made.media), 'file')}."
            )
        self.stdout.write(
            f"Made {made.made_at}, version {made.version}; {count(done['migrated'], 'change')} brought it to this version."
        )
        self.stdout.write(
            f"{count(done['held'], 'letter')} held, {count(done['ended'], 'sign-in')} ended, "
            f"{count(done['erased'], 'erasure')} done again."
        )
        self.stdout.write(WORK if to_work else LOOK)
        self.stdout.write(
            f"Put secret.key and code.keys beside it in {restored.place.folder}: without the first, links of customers "
            "end; without the second, unlock codes stay shut."
        )


def _list_of_erased(named: str | None, *, nobody: bool) -> Path | None:
    """Without the list people who were erased would be back and nobody would know. Raises CommandError."""
    if named and nobody:
        raise CommandError("Write --erased FILE or --nobody-erased, not both.")
    place = Path(named).expanduser() if named else tombstones.place()
    if place.is_file():
        return place
    if named:
        raise CommandError(f"There is no file {place}.")
    if not nobody:
        raise CommandError(
            f"There is no list of erasures ({place}): people who were erased since this backup would come back. "
            "Name the list with --erased FILE, or say --nobody-erased if nobody ever was."
        )
    return None
