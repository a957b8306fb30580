"""Settles a restored copy down: this version's tables, held letters, no open sign-ins, nobody back who was erased."""

import datetime as dt
from typing import Any

from django.contrib.sessions.models import Session
from django.core.cache import cache
from django.core.management import call_command
from django.db import connection, transaction

from intake.models import Letter, LetterTry
from shop.backup.rolling import CUT_OFF
from shop.books.fill import fill_missing
from shop.keeping import tombstones
from shop.models import BackupSet, RestoreDrill
from shop.setup.database import missing_migrations

HELD = "Held: this shop was put back from the backup of {made}. The letter may have gone since; look before you send it."
NEVER = "Held: this is a copy for looking at, and a copy mails nothing."


def settle(*, at: dt.datetime, to_work: bool, made_at: str) -> dict[str, Any]:
    """Returns how many migrations ran, letters are held, sign-ins ended and erasures were done again."""
    migrated = missing_migrations()
    if migrated:
        call_command("migrate", interactive=False, verbosity=0)
        fill_missing()
    call_command("createcachetable", verbosity=0)
    held = hold_letters(made_at=made_at, at=at)
    if not to_work:
        mail_nothing()
    return {
        "migrated": migrated,
        "held": held,
        "ended": end_sign_ins(),
        "erased": erase_again(at=at),
        "closed": close_open_rows(at=at),
    }


@transaction.atomic
def hold_letters(*, made_at: str, at: dt.datetime) -> int:
    """Every letter that would go is held for a person, with the reason."""
    waiting = Letter.objects.filter(state__in=[Letter.State.PENDING, Letter.State.CLAIMED])
    said = HELD.format(made=f"{dt.datetime.fromisoformat(made_at):%d %b %Y, %H:%M} UTC")
    LetterTry.objects.filter(letter__in=waiting, result=LetterTry.Result.OPEN).update(
        result=LetterTry.Result.UNSURE, ended_at=at, answer="Was under way when the backup was made."
    )
    return waiting.update(state=Letter.State.HELD, claim="", lease_until=None, last_error=said)


def mail_nothing() -> None:
    """A lock in the copy itself: whatever runs on it, a letter can only be held."""
    with connection.cursor() as cursor:
        for statement in _LOCKS[connection.vendor]:
            cursor.execute(statement)


_LOCKS = {
    "sqlite": [
        (
            f"CREATE TRIGGER IF NOT EXISTS copy_mails_nothing_{verb.lower()} AFTER {verb} ON intake_letter "  # noqa: S608 -- words of this module
            "WHEN NEW.state IN ('pending', 'claimed') BEGIN "
            f"UPDATE intake_letter SET state = 'held', claim = '', lease_until = NULL, last_error = '{NEVER}' "
            "WHERE id = NEW.id; END"
        )
        for verb in ("INSERT", "UPDATE")
    ],
    "postgresql": [
        (
            "CREATE OR REPLACE FUNCTION copy_mails_nothing() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
            "IF NEW.state IN ('pending', 'claimed') THEN NEW.state := 'held'; NEW.claim := ''; "
            f"NEW.lease_until := NULL; NEW.last_error := '{NEVER}'; END IF; RETURN NEW; END $$"
        ),
        "DROP TRIGGER IF EXISTS copy_mails_nothing ON intake_letter",
        (
            "CREATE TRIGGER copy_mails_nothing BEFORE INSERT OR UPDATE ON intake_letter "
            "FOR EACH ROW EXECUTE FUNCTION copy_mails_nothing()"
        ),
    ],
}


def end_sign_ins() -> int:
    """Who was signed in then may not be allowed in now: all sign in again."""
    ended, _ = Session.objects.all().delete()
    cache.clear()
    return ended


def erase_again(*, at: dt.datetime) -> int:
    """A backup brings back people who were erased since; the list kept apart says who."""
    return tombstones.apply(at=at)


def close_open_rows(*, at: dt.datetime) -> int:
    """The backup's own row stands as running in its copy, and so would a proof that was under way."""
    sets = BackupSet.objects.filter(state=BackupSet.State.RUNNING)
    drills = RestoreDrill.objects.filter(state=RestoreDrill.State.RUNNING)
    return sets.update(state=BackupSet.State.FAILED, ended_at=at, said=CUT_OFF) + drills.update(
        state=RestoreDrill.State.FAILED, ended_at=at, said=CUT_OFF
    )
