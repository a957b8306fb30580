"""When backups and proofs are made by themselves, when the owner is told, and what "make one now" does."""

import datetime as dt
import time

from django.conf import settings
from django.db import IntegrityError, transaction

from intake import history, letters
from intake.history import in_turn
from intake.models import Letterhead, Person
from quotes.refusals import Refused
from shop.backup import keys, making, proving, rolling
from shop.backup.apart import KEY_SHOWN
from shop.backup.faults import BackupFault
from shop.backup.state import GIVEN_UP, State, state
from shop.books.house import house
from shop.books.months.posting import addresses
from shop.clock_marks import claim
from shop.models import BackupSet, RestoreDrill

NIGHT = dt.time(3, 0)
AGAIN = dt.timedelta(hours=1)
PROOF_EVERY = dt.timedelta(days=7)
PROOF_AGAIN = dt.timedelta(days=1)
ASKED = "Asked for; it begins within a minute."
LETTER = "backup_late"
# A house that has just started has people waiting for its pages; the night's work can wait ten minutes.
QUIET_SECONDS = 600.0
_STARTED = time.monotonic()


def back_up(at: dt.datetime) -> int:
    """Make the set that was asked for, else the night's where it is missing; 1 when one was made. Raises BackupFault."""
    rolling.close_cut_off(at=at)
    row = _asked(at) or _tonight(at)
    if row is None:
        return 0
    making.make(row)
    return 1


def _asked(at: dt.datetime) -> BackupSet | None:
    """One of all machines gets the row."""
    waiting = BackupSet.objects.filter(state=BackupSet.State.RUNNING, said=ASKED)
    row = waiting.order_by("pk").first()
    if row is None or not waiting.filter(pk=row.pk).update(said="", began_at=at):
        return None
    row.refresh_from_db()
    return row


def _tonight(at: dt.datetime) -> BackupSet | None:
    """The row of the last night's set: where none was made since three o'clock, tried once an hour until one is."""
    if time.monotonic() - _STARTED < QUIET_SECONDS or not Letterhead.objects.exists():
        return None
    due = last_night(at)
    # What a clock made that was ahead bars no night: only what began until now counts.
    since = BackupSet.objects.filter(began_at__gte=due, began_at__lte=at)
    if _under_way(at) or since.filter(state=BackupSet.State.WHOLE).exists():
        return None
    # The name says the hour, so that of two machines that look at once only one can make the row.
    hour = due + AGAIN * ((at - due) // AGAIN)
    try:
        with transaction.atomic():
            return BackupSet.objects.create(name=making.name_at(hour), why="night", began_at=at)
    except IntegrityError:
        return None


def _under_way(at: dt.datetime) -> bool:
    begun = BackupSet.objects.filter(began_at__gt=at - GIVEN_UP, began_at__lte=at)
    return begun.filter(state=BackupSet.State.RUNNING).exists()


def last_night(at: dt.datetime) -> dt.datetime:
    """The last three o'clock of the shop's zone, as UTC. A machine that slept then makes up for it when it wakes."""
    here = at.astimezone(house().zone)
    three = dt.datetime.combine(here.date(), NIGHT, tzinfo=here.tzinfo)
    if three > here:
        three = dt.datetime.combine(here.date() - dt.timedelta(days=1), NIGHT, tzinfo=here.tzinfo)
    return three.astimezone(dt.UTC)


def prove(at: dt.datetime) -> int:
    """Prove what was asked for, else the newest set where a week has passed since the last proof, a day since the last
    failure; 1 when one was proved.

    Raises BackupFault when it could not be."""
    if not keys.can_open():
        return 0
    if asked := _asked_proof(at):
        drill = proving.prove(asked.backup, at=at, drill=asked)
    else:
        backup = proving.newest()
        if backup is None or not _proof_is_due(backup, at):
            return 0
        if not claim("proof begun", at=at, every=GIVEN_UP):
            return 0
        drill = proving.prove(backup, at=at)
    if drill.state == RestoreDrill.State.FAILED:
        raise BackupFault(drill.said.partition("\n")[0])
    return 1


def _asked_proof(at: dt.datetime) -> RestoreDrill | None:
    """One of all machines that hold the key gets the row."""
    waiting = RestoreDrill.objects.filter(state=RestoreDrill.State.RUNNING, said=ASKED)
    row = waiting.order_by("pk").first()
    if row is None or not waiting.filter(pk=row.pk).update(said="", began_at=at):
        return None
    row.refresh_from_db()
    return row


def _proof_is_due(backup: BackupSet, at: dt.datetime) -> bool:
    last = RestoreDrill.objects.filter(began_at__lte=at).first()
    if last is None:
        return True
    if last.state == RestoreDrill.State.PROVED:
        return last.began_at <= at - PROOF_EVERY and backup.pk != last.backup_id
    return last.began_at <= at - PROOF_AGAIN


def warn(at: dt.datetime) -> int:
    """Write to the shop and its owners, once a day, while the backups are not as they should be; 1 when it was done.

    A demonstration, which nobody need keep, and a house without a letterhead write none.
    """
    if settings.DEMO or not Letterhead.objects.exists():
        return 0
    found = state(at)
    return int(found.colour == "red" and _tell(found, at=at))


@in_turn
def _tell(found: State, *, at: dt.datetime) -> bool:
    today = at.astimezone(house().zone).date()
    keys_of = {address: f"{LETTER}:{today}:{address}"[:120] for address in addresses()}
    known = set(letters.Letter.objects.filter(key__in=keys_of.values()).values_list("key", flat=True))
    for address, key in keys_of.items():
        if key not in known:
            letters.post(
                order=None, kind=LETTER, key=key, to=address, at=at, context={"sentences": found.sentences}, with_link=False
            )  # fmt: skip
    return len(known) < len(keys_of)


@in_turn
def ask(*, by: Person, at: dt.datetime) -> BackupSet:
    """Ask for a backup now; the clock makes it within a minute. Raises Refused while one is under way."""
    if _under_way(at):
        raise Refused("A backup is being made already. Its line below says when it is done.")
    name = making.name_at(at)
    row, made = BackupSet.objects.get_or_create(
        name=name, defaults={"why": "hand", "began_at": at, "said": ASKED}
    )
    if made:
        history.record(order=None, what="backup asked for", by=by.username, at=at, facts={"name": name})
    return row


@in_turn
def ask_proof(*, by: Person, at: dt.datetime) -> RestoreDrill:
    """Ask for a proof of the newest backup now; the clock begins it within a minute. Raises Refused where it cannot."""
    if is_proving(at):
        raise Refused("A proof is under way already. Its line below says when it is done.")
    backup = proving.newest()
    if backup is None:
        raise Refused("There is no backup to prove yet. Make one first.")
    if not keys.can_open():
        raise Refused("This machine holds no key that opens its backups, so it cannot prove one.")
    row = RestoreDrill.objects.create(backup=backup, began_at=at, said=ASKED)
    history.record(order=None, what="proof asked for", by=by.username, at=at, facts={"name": backup.name})
    return row


def is_proving(at: dt.datetime) -> bool:
    """Whether a proof is under way or was asked for."""
    begun = RestoreDrill.objects.filter(began_at__gt=at - GIVEN_UP, began_at__lte=at)
    return begun.filter(state=RestoreDrill.State.RUNNING).exists()


@in_turn
def show_key(*, by: Person, at: dt.datetime) -> str:
    """The key that opens the backups, for the owner's own paper; that it was shown is written down. "" when it is not here."""
    place = keys.own_place()
    if not keys.can_open():
        return ""
    keys.sealing()  # makes the shop's own key where no backup has needed it yet
    if not place.exists():
        return ""
    history.record(order=None, what=KEY_SHOWN, by=by.username, at=at, facts={})
    return next(line for line in place.read_text().splitlines() if line.startswith("AGE-SECRET-KEY-"))
