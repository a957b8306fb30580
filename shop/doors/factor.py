"""The second step of a sign-in: set up, confirmed, asked, taken off. Secrets are sealed, recovery codes hashed.

A code works once: the step it belongs to is taken by a conditional UPDATE, so that of two who hold it one comes in.
"""

import datetime as dt

from django.contrib.auth.hashers import check_password, make_password
from django.db.models import Q
from django.views.decorators.debug import sensitive_variables

from intake import history
from intake.history import in_turn
from intake.models import Person
from intake.refusals import Refused
from shop.doors import news, one_time
from shop.doors.sign_ins import renew_mark
from shop.models import RecoveryCode, SecondFactor
from shop.vault import sealing
from shop.vault.unlocking import keys

WRONG_CODE = "That code is not right, or it was used before. Type the newest one."


def confirmed(person: Person) -> SecondFactor | None:
    """The second step that a person must pass; None where there is none, or it was never confirmed."""
    return SecondFactor.objects.filter(person=person, confirmed_at__isnull=False).first()


def begun(person: Person) -> SecondFactor | None:
    """A second step that waits for its first code."""
    return SecondFactor.objects.filter(person=person, confirmed_at__isnull=True).first()


def secret_of(row: SecondFactor) -> str:
    """The secret in the clear. Raises Refused where the keys do not open it."""
    try:
        return sealing.unseal_for(
            _owner(row.person_id), bytes(row.sealed), key_name=row.key_name, keys=keys()
        )
    except sealing.CannotOpen as fault:
        raise Refused(
            f"The second step cannot be read. {fault} Use a code of your printed list, or let it be taken off."
        ) from fault


@in_turn
def begin(*, person: Person, by: Person, at: dt.datetime) -> SecondFactor:
    """A fresh secret that counts for nothing until a code of it was typed. Raises Refused where one is in use."""
    if confirmed(person):
        raise Refused("There is a second step already. Take it off first.")
    name, sealed = sealing.seal_for(_owner(person.pk), one_time.fresh_secret(), keys=keys())
    row, _ = SecondFactor.objects.update_or_create(
        person=person, defaults={"key_name": name, "sealed": sealed, "made_at": at, "last_step": None}
    )
    return row


@sensitive_variables("typed", "codes")
def confirm(*, person: Person, typed: str, by: Person, at: dt.datetime) -> list[str]:
    """The first code makes the second step count; returns the printed lines of the recovery list. Raises Refused."""
    row = begun(person)
    if row is None:
        raise Refused("Begin again: there is nothing to confirm.")
    step = one_time.step_of(typed, secret=secret_of(row), seconds=at.timestamp())
    if step is None:
        raise Refused(WRONG_CODE, field="code")
    codes = one_time.fresh_list()
    _confirmed(person=person, step=step, digests=_digests(codes), at=at)
    return _lines(codes)


@in_turn
def _confirmed(*, person: Person, step: int, digests: list[str], at: dt.datetime) -> None:
    waiting = SecondFactor.objects.filter(person=person, confirmed_at__isnull=True)
    if not waiting.update(confirmed_at=at, last_step=step):
        raise Refused("Begin again: there is nothing to confirm.")
    _put_list(person, digests, at)
    renew_mark(person)
    news.tell(person, "set up", by=person, at=at)


@sensitive_variables("codes")
def new_list(*, person: Person, by: Person, at: dt.datetime) -> list[str]:
    """Fresh recovery codes in place of the old; returns the printed lines. Raises Refused without a second step."""
    if confirmed(person) is None:
        raise Refused("There is no second step. Set it up first.")
    codes = one_time.fresh_list()
    _listed(person=person, digests=_digests(codes), at=at)
    return _lines(codes)


@in_turn
def _listed(*, person: Person, digests: list[str], at: dt.datetime) -> None:
    _put_list(person, digests, at)
    news.tell(person, "new list", by=person, at=at)


@in_turn
def take_off(*, person: Person, by: Person | None, at: dt.datetime) -> bool:
    """No second step any more; every sign-in of the person ends. `by` None is the command on the server."""
    gone, _ = SecondFactor.objects.filter(person=person).delete()
    RecoveryCode.objects.filter(person=person).delete()
    if not gone:
        return False
    renew_mark(person)
    news.tell(person, "taken off", by=by, at=at)
    return True


@sensitive_variables("typed")
def pass_code(*, person: Person, typed: str, at: dt.datetime) -> bool:
    """Whether the typed code lets the person in; of all who bring the same code, the first only. Raises Refused."""
    row = confirmed(person)
    if row is None:
        return False
    step = one_time.step_of(typed, secret=secret_of(row), seconds=at.timestamp())
    if step is None:
        return False
    fresh = Q(last_step__isnull=True) | Q(last_step__lt=step)
    return bool(SecondFactor.objects.filter(fresh, person=person).update(last_step=step))


@sensitive_variables("typed", "read")
def pass_recovery(*, person: Person, typed: str, at: dt.datetime) -> bool:
    """Whether a code of the printed list lets the person in. One hash is made, whatever was typed."""
    read = one_time.read_recovery(typed)
    rows = list(RecoveryCode.objects.filter(person=person)) if read else []
    if read is None or read[0] > len(rows):
        make_password(typed[:40])
        return False
    row = rows[read[0] - 1]
    return check_password(read[1], row.digest) and _used(person=person, row=row, at=at)


@in_turn
def _used(*, person: Person, row: RecoveryCode, at: dt.datetime) -> bool:
    if not RecoveryCode.objects.filter(pk=row.pk, used_at__isnull=True).update(used_at=at):
        return False
    news.tell(person, "recovery code", by=person, at=at)
    return True


def codes_left(person: Person) -> int:
    return RecoveryCode.objects.filter(person=person, used_at__isnull=True).count()


@in_turn
def seal_again(*, by: str, at: dt.datetime) -> int:
    """Seal every secret under the first key; returns how many were under another. Raises sealing.CannotOpen."""
    known = keys()
    rows = list(SecondFactor.objects.exclude(key_name=next(iter(known))))
    for row in rows:
        owner = _owner(row.person_id)
        plain = sealing.unseal_for(owner, bytes(row.sealed), key_name=row.key_name, keys=known)
        row.key_name, row.sealed = sealing.seal_for(owner, plain, keys=known)
        row.save(update_fields=["key_name", "sealed"])
    if rows:
        history.record(order=None, what="second steps sealed again", by=by, at=at, facts={"count": len(rows)})
    return len(rows)


def names_in_use() -> set[str]:
    return set(SecondFactor.objects.values_list("key_name", flat=True))


def _put_list(person: Person, digests: list[str], at: dt.datetime) -> None:
    RecoveryCode.objects.filter(person=person).delete()
    for digest in digests:
        RecoveryCode.objects.create(person=person, digest=digest, made_at=at)


def _digests(codes: list[str]) -> list[str]:
    return [make_password(code) for code in codes]


def _lines(codes: list[str]) -> list[str]:
    return [one_time.printed(place, code) for place, code in enumerate(codes, start=1)]


def _owner(person: int) -> str:
    return f"second step of person {person}"
