"""A request that is not sent yet: started, kept at every step, found again, let go after its time.

The browser holds only a random token; here stands its digest. What was typed is kept as it was typed, good or bad,
so that nothing is lost on the way; whether it is good is judged each time it is read.
"""

import datetime as dt
from collections.abc import Iterable, Mapping

from django.db import transaction

from intake import album, tokens
from intake.models import Draft, Order, Photo
from intake.refusals import Refused
from intake.request_words import plain_text

LIFE = dt.timedelta(days=30)
DAY = dt.timedelta(days=1)
STARTED_A_DAY = 20
SENT_A_DAY = 10
FASTEST = dt.timedelta(seconds=3)
LONGEST_VALUE = 50_000
MOST_VALUES = 60

Raw = dict[str, list[str]]


@transaction.atomic
def start(*, sender: str, at: dt.datetime) -> tuple[Draft, str]:
    """A new draft and the token that opens it. Raises Refused where one sender starts too many in a day."""
    begun = Draft.objects.filter(from_address=sender, started_at__gt=at - DAY).count()
    if begun >= STARTED_A_DAY:
        raise Refused(
            f"{STARTED_A_DAY} requests were begun from your connection today, and that is the most we take. "
            "Please go on tomorrow, or ring or write to us."
        )
    token = tokens.new_token()
    draft = Draft.objects.create(
        digest=tokens.digest_of(token),
        started_at=at,
        changed_at=at,
        expires_at=at + LIFE,
        form_key=tokens.new_token(),
        from_address=sender,
    )
    return draft, token


def find(token: str, *, at: dt.datetime) -> Draft | None:
    """The draft a token opens, or None for unknown and expired alike."""
    if not token or len(token) > 200:
        return None
    digest = tokens.digest_of(plain_text(token))
    return Draft.objects.select_related("order").filter(digest=digest, expires_at__gt=at).first()


def raw_of(draft: Draft | None, slug: str) -> Raw:
    """What was typed at one step; empty where nothing was."""
    if draft is None:
        return {}
    found: Raw = draft.answers.get("steps", {}).get(slug, {})
    return found


def done_steps(draft: Draft | None) -> set[str]:
    """The steps that were left by Continue with nothing wrong in them."""
    return set(draft.answers.get("done", [])) if draft is not None else set()


@transaction.atomic
def keep(
    *, draft: Draft, slug: str, typed: Mapping[str, list[str]], at: dt.datetime, done: bool | None = None
) -> Draft:
    """Keep what was typed at a step. `done` True or False marks the step, None leaves the mark as it is."""
    row = Draft.objects.select_for_update().get(pk=draft.pk)
    if row.order_id is not None:
        return row
    steps = dict(row.answers.get("steps", {}))
    steps[slug] = {**steps.get(slug, {}), **{name: _kept(values) for name, values in typed.items()}}
    marked = set(row.answers.get("done", []))
    if done is not None:
        marked = marked | {slug} if done else marked - {slug}
    row.answers = {"steps": steps, "done": sorted(marked)}
    row.changed_at = at
    row.save(update_fields=["answers", "changed_at"])
    return row


def _kept(values: Iterable[str]) -> list[str]:
    return [plain_text(str(value))[:LONGEST_VALUE] for value in list(values)[:MOST_VALUES]]


def judge_sending(*, draft: Draft, trap: str, sender: str, at: dt.datetime) -> None:
    """Machines are asked to wait; raises Refused with a sentence a person can follow. A sent draft passes."""
    if draft.order_id is not None:
        return
    if trap.strip():
        raise Refused("Something filled in a field that no person sees. It is empty now: please send again.")
    if at - draft.started_at < FASTEST:
        raise Refused("That was very quick. Please wait a moment and send it again.")
    today = Draft.objects.filter(from_address=sender, order__isnull=False, changed_at__gt=at - DAY).count()
    if today >= SENT_A_DAY:
        raise Refused(
            f"{SENT_A_DAY} requests were sent from your connection today, and that is the most we take. "
            "Yours is kept here: please send it tomorrow, or ring or write to us."
        )


def order_of(draft: Draft) -> Order | None:
    """The order a draft became, if it was sent."""
    return draft.order if draft.order_id is not None else None


@transaction.atomic
def forget_expired(*, at: dt.datetime) -> int:
    """Let drafts go after their time, with their photos; what became an order stays with the order.

    A file is removed once no photo row shows it any more. Returns how many drafts went.
    """
    old = list(Draft.objects.filter(expires_at__lt=at).values_list("pk", flat=True)[:500])
    gone = Photo.objects.filter(draft__in=old, order__isnull=True)
    digests = set(gone.values_list("sha256", flat=True))
    gone.delete()
    Draft.objects.filter(pk__in=old).delete()
    transaction.on_commit(lambda: album.drop_files(digests), robust=True)
    return len(old)
