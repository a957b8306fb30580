"""Changes of the letterhead: a new version, never an edit, so that every paper keeps the one it used."""

import datetime as dt
from typing import Any

from django.db import IntegrityError, transaction
from django.forms.models import model_to_dict

from intake import history
from intake.models import Letterhead, Person
from intake.refusals import Refused

NOT_CARRIED = ("id", "version", "since", "changed_by")


class Outdated(Refused):
    """Somebody saved a newer version since this page was opened; what was typed is kept and may be saved over it."""

    def __init__(self, version: int) -> None:
        super().__init__(
            f"Version {version} was saved while you were writing. What you typed is still here. Compare it, "
            "then save again to put yours over it."
        )
        self.version = version


def change_letterhead(
    *, changes: dict[str, Any], seen_version: int, by: Person, at: dt.datetime
) -> Letterhead | None:
    """Write the next version with `changes` in it; None where nothing would be different.

    Raises Outdated where `seen_version` is no longer the newest. The caller forgets what it kept of the old one.
    """
    now = Letterhead.current()
    if now.version != seen_version:
        raise Outdated(now.version)
    changed = sorted(name for name, value in changes.items() if getattr(now, name) != value)
    if not changed:
        return None
    kept = {key: value for key, value in model_to_dict(now).items() if key not in NOT_CARRIED}
    try:
        with transaction.atomic():
            new = Letterhead.objects.create(
                version=seen_version + 1, since=at, changed_by=by, **{**kept, **changes}
            )
            history.record(
                order=None,
                what="letterhead changed",
                by=by.username,
                at=at,
                facts={"version": new.version, "fields": changed},
            )
    except IntegrityError:
        raise Outdated(seen_version + 1) from None
    return new
