"""Seals the unlock codes and the second steps under a fresh key and drops the keys that nothing needs any more."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import transaction

from intake import drain
from intake.wording import count
from shop.doors import factor
from shop.vault import keys
from shop.vault import unlocking as codes


class Command(BaseCommand):
    help = (
        "Make a fresh sealing key, seal every unlock code and second step under it, drop the old keys. Copies of the database made "
        "before cannot be opened any more. With CODE_KEYS set, put the new key first there and run this."
    )

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            name = keys.add_key()
            ours = True
        except PermissionError:
            name, ours = next(iter(keys.keys())), False
        try:
            done, steps = _sealed_again()
        except codes.sealing.CannotOpen as fault:
            raise CommandError(f"A secret cannot be opened, so nothing was changed. {fault}") from fault
        also = f" and {count(steps, 'second step')}" if steps else ""
        self.stdout.write(f"{count(done, 'code')}{also} sealed under {name}.")
        if ours:
            dropped = keys.keep_only(codes.names_in_use() | factor.names_in_use())
            self.stdout.write(f"Dropped: {', '.join(dropped) or 'none'}.")


@transaction.atomic
def _sealed_again() -> tuple[int, int]:
    at = drain.now()
    return codes.seal_again(by="clock", at=at), factor.seal_again(by="clock", at=at)
