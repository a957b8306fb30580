"""The owner's page of backups: how old, how proved, one more now; and the page of the keys to keep apart."""

from collections.abc import Callable
from pathlib import Path

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from quotes.refusals import Refused
from shop.access import now, owner_only, person_of
from shop.backup import keys, making, nights, proving
from shop.backup.rolling import KEPT_ALWAYS, KEPT_FOR
from shop.backup.state import state
from shop.doors.fresh import fresh_only
from shop.models import BackupSet, RestoreDrill

A_PAGE, DRILLS = 40, 10


@require_safe
@owner_only
def backups(request: HttpRequest) -> HttpResponse:
    """The sets and the proofs, newest first."""
    rows = BackupSet.objects.all()[:A_PAGE]
    context = {
        "state": state(now()),
        "sets": [(row, making.file_of(row.name).is_file()) for row in rows],
        "drills": RestoreDrill.objects.select_related("backup")[:DRILLS],
        "folder": settings.BACKUP_FOLDER,
        "days": KEPT_FOR.days,
        "always": KEPT_ALWAYS,
        "can_open": keys.can_open(),
        "can_prove": keys.can_open() and proving.newest() is not None,
        "proving": nights.is_proving(now()),
    }
    return render(request, "shop/backup/backups.html", context)


@require_POST
@owner_only
def make(request: HttpRequest) -> HttpResponse:
    """Ask for a backup now."""
    return _asked(request, nights.ask, "A backup begins within a minute.")


@require_POST
@owner_only
def prove(request: HttpRequest) -> HttpResponse:
    """Ask for a proof of the newest backup now."""
    return _asked(request, nights.ask_proof, "A proof begins within a minute.")


def _asked(request: HttpRequest, ask: Callable[..., object], said: str) -> HttpResponse:
    try:
        ask(by=person_of(request), at=now())
        messages.success(request, said)
    except Refused as refusal:
        messages.warning(request, str(refusal))
    return redirect("shop:backups")


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@owner_only
@fresh_only
def apart(request: HttpRequest) -> HttpResponse:
    """Which keys must be kept away from this machine; by the button the backups' own one is shown."""
    key = nights.show_key(by=person_of(request), at=now()) if request.method == "POST" else ""
    context = {
        "key": key,
        "data": settings.DATA,
        "own": keys.own_place(),
        "recipients": settings.BACKUP_RECIPIENTS,
        "can_open": keys.can_open(),
        "codes_elsewhere": bool(settings.CODE_KEYS),
        "secret_in_file": (Path(settings.DATA) / "secret.key").exists(),
        "several": settings.SEVERAL_MACHINES,
        "at": now(),
    }
    return render(request, "shop/backup/keys.html", context)
