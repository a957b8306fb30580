"""Seals the unlock codes under a fresh key and drops the keys that nothing needs any more."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from intake import drain
from intake.wording import count
from shop.vault import keys
from shop.vault import unlocking as codes


class Command(BaseCommand):
    help = (
        "Make a fresh sealing key, seal every unlock code under it, drop the old keys. Copies of the database made "
        "before cannot be opened any more. With CODE_KEYS set, put the new key first there and run this."
    )

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            name = keys.add_key()
            ours = True
        except PermissionError:
            name, ours = next(iter(keys.keys())), False
        try:
            done = codes.seal_again(by="clock", at=drain.now())
        except codes.sealing.CannotOpen as fault:
            raise CommandError(f"A code cannot be opened, so nothing was changed. {fault}") from fault
        self.stdout.write(f"{count(done, 'code')} sealed under {name}.")
        if ours:
            dropped = keys.keep_only(codes.names_in_use())
            self.stdout.write(f"Dropped: {', '.join(dropped) or 'none'}.")
