"""The page after a command was scanned where no script took it: one button that does it, by a post."""

from typing import Any
from urllib.parse import urlsplit

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import Resolver404, resolve

from intake.models import Order
from shop.access import person_of
from shop.bench import work
from shop.models import WorkSession
from shop.traveller.commands import KIND_OF, STOP


def command_page(request: HttpRequest, command: str) -> HttpResponse:
    """Nothing is done by the scan itself: a page that is looked at changes nothing."""
    running = work.running_of(person_of(request))
    kind = KIND_OF.get(command, "")
    order = _sheet_before(request) or (running.order if running else None)
    if command == STOP:
        order = running.order if running else None
    context: dict[str, Any] = {
        "command": command,
        "stops": command == STOP,
        "kind": kind,
        "kind_words": str(WorkSession.Kind(kind).label).lower() if kind else "",
        "order": order,
        "running": running,
    }
    return render(request, "shop/command.html", context)


def _sheet_before(request: HttpRequest) -> Order | None:
    """The order of the sheet that the scan was made on: the browser says which page that was."""
    try:
        found = resolve(urlsplit(request.headers.get("Referer", "")).path)
    except (Resolver404, ValueError):
        return None
    code = found.kwargs.get("code") if found.url_name and found.namespace == "shop" else None
    return Order.objects.select_related("device").filter(code=code).first() if code else None
