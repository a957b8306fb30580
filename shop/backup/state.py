"""How old the last backup and the last proof are, and what the owner should think of it."""

import datetime as dt
from dataclasses import dataclass

from django.db.models import Max, Min, Q

from intake.models import Letterhead
from intake.wording import count
from shop.backup import apart
from shop.models import BackupSet, RestoreDrill

BACKUP_LATE = dt.timedelta(hours=26)
PROOF_LATE = dt.timedelta(days=14)
# Work that was cut off leaves its row open; after so long nobody is at it any more.
GIVEN_UP = dt.timedelta(hours=6)

_SETS = BackupSet.State
_DRILLS = RestoreDrill.State


@dataclass(frozen=True)
class State:
    """`colour` is green, amber or red; `sentences` say why, the worst first. Times are aware, None where there was none yet."""

    colour: str
    sentences: tuple[str, ...]
    backup_at: dt.datetime | None
    backup_age: dt.timedelta | None
    proof_at: dt.datetime | None
    proof_age: dt.timedelta | None
    running: bool


def state(at: dt.datetime) -> State:
    """Reads three rows' worth: the sets, the drills and the shop's first day, or whether the key was ever shown.

    That they lie where they are lost with the shop is said once they are good for anything."""
    sets = BackupSet.objects.filter(began_at__lte=at).aggregate(
        last=Max("began_at", filter=Q(state=_SETS.WHOLE)),
        first=Min("began_at", filter=Q(state=_SETS.WHOLE)),
        failed=Max("began_at", filter=Q(state=_SETS.FAILED)),
        running=Max("began_at", filter=Q(state=_SETS.RUNNING)),
    )
    drills = RestoreDrill.objects.filter(began_at__lte=at).aggregate(
        proved=Max("began_at", filter=Q(state=_DRILLS.PROVED)),
        failed=Max("began_at", filter=Q(state=_DRILLS.FAILED)),
    )
    said = [*_of_backups(sets, at), *_of_proofs(sets["first"], drills, at)]
    if all(colour == "green" for colour, _ in said):
        said += [("amber", words) for words in apart.worries()]
    worst = next((colour for colour in ("red", "amber") if any(colour == one for one, _ in said)), "green")
    order = {"red": 0, "amber": 1, "green": 2}
    last, proved, running = sets["last"], drills["proved"], sets["running"]
    return State(
        colour=worst,
        sentences=tuple(words for _, words in sorted(said, key=lambda one: order[one[0]])),
        backup_at=last,
        backup_age=at - last if last else None,
        proof_at=proved,
        proof_age=at - proved if proved else None,
        running=bool(running and at - running < GIVEN_UP),
    )


Said = tuple[str, str]


def _of_backups(sets: dict[str, dt.datetime | None], at: dt.datetime) -> list[Said]:
    last, failed = sets["last"], sets["failed"]
    if last is None:
        opened = Letterhead.objects.aggregate(first=Min("since"))["first"]
        late = failed is not None or (opened is not None and at - opened > BACKUP_LATE)
        return [("red" if late else "amber", "There is no backup yet.")]
    age = age_words(at - last)
    if at - last > BACKUP_LATE:
        return [("red", f"The last backup is {age} old; there should be one each night.")]
    if failed is not None and failed > last:
        return [("amber", f"The newest try of a backup failed; the last whole one is {age} old.")]
    return [("green", f"The last backup is {age} old.")]


def _of_proofs(
    first: dt.datetime | None, drills: dict[str, dt.datetime | None], at: dt.datetime
) -> list[Said]:
    proved, failed = drills["proved"], drills["failed"]
    if failed is not None and (proved is None or failed > proved):
        return [("red", "The last proof of restore failed: a backup could not be shown to be good.")]
    if proved is None:
        late = first is not None and at - first > PROOF_LATE
        return [("red" if late else "amber", "No backup was restored as a proof yet.")]
    age = age_words(at - proved)
    if at - proved > PROOF_LATE:
        return [("red", f"The last proof of restore is {age} old; there should be one each week.")]
    return [("green", f"A backup was restored and compared {age} ago.")]


def age_words(age: dt.timedelta) -> str:
    """ "40 minutes", "5 hours", "3 days": the largest unit that says at least two, or the smaller one."""
    minutes = max(int(age.total_seconds() // 60), 0)
    if not minutes:
        return "less than a minute"
    if minutes < 120:
        return count(minutes, "minute")
    return count(minutes // 60, "hour") if minutes < 48 * 60 else count(minutes // 1440, "day")
