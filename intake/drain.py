"""The drainer: takes waiting letters to the mail server, one after another.

It loses none and repeats none silently. A try is committed before the server is spoken to; after a death in
between, the letter is unsure and is sent again with the same Message-ID and a line saying why, or held for a
person, as the shop chose. Mail cannot be exactly-once.
"""

import datetime as dt
import logging
import random
import secrets
import smtplib
import time
from email.utils import format_datetime

from django.core.mail import EmailMultiAlternatives, get_connection
from django.db import close_old_connections, connection, transaction
from django.db.models import Q

from intake import history, photo_files
from intake.history import in_turn
from intake.letters import readable
from intake.models import Letter, LetterTry
from intake.paper_files import PaperMissing, content, content_type
from intake.waking import set_waker, wake

__all__ = ["drain", "set_waker", "wake"]

LEASE = dt.timedelta(seconds=180)
A_ROUND = 120.0
GIVE_UP_AFTER = dt.timedelta(days=3)
LONGEST_PAUSE = dt.timedelta(hours=1)
# No two tries of a machine that is awake lie so far apart.
A_SLEEP = dt.timedelta(hours=6)
# How the answer of a try begins that never came to the mail server.
NOT_READY = "Could not be put together:"
_log = logging.getLogger("benchpost.letters")


def now() -> dt.datetime:
    return dt.datetime.now(dt.UTC)


def drain(*, at: dt.datetime | None = None, limit: int = 50) -> int:
    """Send what is due, at most `limit` letters; returns how many were taken up.

    None is taken up after A_ROUND: a worker that a slow server holds up is struck in the middle of a letter.
    """
    taken, until = 0, time.monotonic() + A_ROUND
    while taken < limit and time.monotonic() < until:
        letter = _claim(at or now())
        if letter is None:
            break
        taken += 1
        if letter.state == Letter.State.CLAIMED:
            _deliver(letter, at=at)
    if not connection.in_atomic_block:
        close_old_connections()
    return taken


@transaction.atomic
def _claim(at: dt.datetime) -> Letter | None:
    """Take one due letter: pending, or claimed by somebody whose lease ran out.

    PostgreSQL skips rows another worker holds; SQLite's writers queue up anyway.
    """
    due = Letter.objects.filter(
        Q(state="pending", next_at__lte=at) | Q(state="claimed", lease_until__lt=at)
    ).order_by("next_at", "id")
    if connection.features.has_select_for_update_skip_locked:
        due = due.select_for_update(skip_locked=True)
    letter = due.first()
    if letter is None:
        return None
    why_again = ""
    if letter.state == Letter.State.CLAIMED:
        broken_off = letter.attempts.filter(result=LetterTry.Result.OPEN)
        if broken_off.update(
            result=LetterTry.Result.UNSURE, ended_at=at, answer="Broken off; may have arrived."
        ):
            if letter.unsure == "hold":
                Letter.objects.filter(pk=letter.pk).update(
                    state="held", claim="", last_error="Broken off while sending; it may have arrived."
                )
                letter.state = Letter.State.HELD
                return letter
            why_again = "An earlier try was broken off and may have arrived."
    last = letter.attempts.order_by("-number").first()
    if letter.tried_since is None or _long_ago(last, at):
        letter.tried_since = at
    number = letter.tries + 1
    letter.claim, letter.state, letter.tries = secrets.token_hex(16), Letter.State.CLAIMED, number
    letter.lease_until = at + LEASE
    letter.save(update_fields=["claim", "state", "tries", "lease_until", "tried_since"])
    why_again = why_again or _reason_to_repeat(last)
    LetterTry.objects.create(letter=letter, number=number, started_at=at, why_again=why_again)
    return letter


def _long_ago(last: LetterTry | None, at: dt.datetime) -> bool:
    """A machine that slept did not try: the time it is given begins anew."""
    return last is not None and at - last.started_at > A_SLEEP


def _reason_to_repeat(last: LetterTry | None) -> str:
    if last is not None and last.result == LetterTry.Result.UNSURE:
        return "An earlier try may have arrived; the mail server did not say."
    return ""


def _deliver(letter: Letter, *, at: dt.datetime | None) -> None:
    try:
        mail = render(letter)
    except PaperMissing as fault:
        _finish(letter, LetterTry.Result.LATER, f"{NOT_READY} {fault}", at=at)
        return
    except Exception as fault:
        _log.exception("letter %s could not be put together", letter.pk)
        _finish(letter, LetterTry.Result.LATER, f"{NOT_READY} {type(fault).__name__}", at=at)
        return
    result, answer = _speak_to_server(mail)
    _finish(letter, result, answer, at=at)


def render(letter: Letter) -> EmailMultiAlternatives:
    """The mail of a letter; every try carries the same Message-ID, date and parts."""
    headers = {
        "Message-ID": letter.message_id,
        "Date": format_datetime(letter.created_at),
        "Auto-Submitted": "auto-generated",
    }
    text, again = readable(letter, "text"), letter.attempts.order_by("-number").first()
    if again is not None and again.why_again:
        text = f"{again.why_again} This is the same letter once more.\n\n{text}"
    mail = EmailMultiAlternatives(letter.subject, text, letter.from_address, [letter.to], headers=headers)
    if letter.html:
        mail.attach_alternative(readable(letter, "html"), "text/html")
    for paper in letter.papers.all():
        mail.attach(paper.file_name, content(paper, at=now()), content_type(paper))
    for number, photo in enumerate(letter.photos.all(), start=1):
        mail.attach(f"photo-{number}.jpg", photo_files.shown(photo), "image/jpeg")
    return mail


def _speak_to_server(mail: EmailMultiAlternatives) -> tuple[str, str]:
    """Send, and say what that means: a fault before the text is harmless, one after it leaves us unsure."""
    link = get_connection()
    try:
        link.open()
    except (OSError, smtplib.SMTPException) as fault:
        return LetterTry.Result.LATER, f"No mail server: {_plain(fault)}"
    try:
        mail.connection = link
        mail.send()
    except smtplib.SMTPRecipientsRefused as fault:
        codes = [code for code, _ in fault.recipients.values()]
        later = all(400 <= code < 500 for code in codes)
        return (LetterTry.Result.LATER if later else LetterTry.Result.REFUSED), _plain(fault)
    except smtplib.SMTPResponseException as fault:
        later = 400 <= fault.smtp_code < 500
        return (LetterTry.Result.LATER if later else LetterTry.Result.REFUSED), _plain(fault)
    except (smtplib.SMTPServerDisconnected, TimeoutError, ConnectionError) as fault:
        return LetterTry.Result.UNSURE, f"The line broke: {_plain(fault)}"
    except (ValueError, smtplib.SMTPException) as fault:
        return LetterTry.Result.REFUSED, _plain(fault)
    except OSError as fault:
        return LetterTry.Result.LATER, _plain(fault)
    finally:
        try:
            link.close()
        except Exception:
            _log.info("the mail server closed first")
    return LetterTry.Result.ACCEPTED, "accepted"


def _plain(fault: BaseException) -> str:
    return f"{type(fault).__name__} {fault}"[:280]


@transaction.atomic
def _finish(letter: Letter, result: str, answer: str, *, at: dt.datetime | None) -> None:
    """Write down how it went; if somebody else took the letter over meanwhile, do nothing."""
    moment = at or now()
    changes: dict[str, object] = {
        "claim": "",
        "lease_until": None,
        "last_error": "" if result == "accepted" else answer,
    }
    if result == LetterTry.Result.ACCEPTED:
        changes |= {"state": "sent", "sent_at": moment}
    elif (
        result == LetterTry.Result.REFUSED
        or moment - (letter.tried_since or letter.created_at) > GIVE_UP_AFTER
    ):
        changes |= {"state": "dead"}
    elif result == LetterTry.Result.UNSURE and letter.unsure == "hold":
        changes |= {"state": "held"}
    else:
        pause = min(dt.timedelta(seconds=30 * 2 ** min(letter.tries - 1, 10)), LONGEST_PAUSE)
        jitter = random.uniform(0.8, 1.2)  # noqa: S311 -- spreads retries, guards nothing
        changes |= {"state": "pending", "next_at": moment + pause * jitter}
    mine = Letter.objects.filter(pk=letter.pk, claim=letter.claim, state="claimed").update(**changes)
    if mine:
        LetterTry.objects.filter(letter=letter, number=letter.tries).update(
            result=result, ended_at=moment, answer=answer[:300]
        )


@in_turn
def send_again(letter: Letter, *, by: str, at: dt.datetime) -> bool:
    """A person sends a held or dead letter again, with the same Message-ID; one that was emptied goes no more."""
    stuck = Letter.objects.filter(pk=letter.pk, state__in=["held", "dead"]).exclude(to="")
    changed = stuck.update(state="pending", next_at=at, tried_since=None)
    if changed:
        _note("letter sent again", letter, by, at)
        transaction.on_commit(wake, robust=True)
    return bool(changed)


@in_turn
def mark_arrived(letter: Letter, *, by: str, at: dt.datetime) -> bool:
    """A person knows that a held letter did arrive."""
    changed = Letter.objects.filter(pk=letter.pk, state="held").update(state="sent", sent_at=at)
    if changed:
        _note("letter marked as arrived", letter, by, at)
    return bool(changed)


def _note(what: str, letter: Letter, by: str, at: dt.datetime) -> None:
    history.record(
        order=letter.order, what=what, by=by, at=at, facts={"letter": letter.pk, "kind": letter.kind}
    )
