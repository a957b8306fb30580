"""The front door."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from intake.models import Letterhead


@require_safe
def front(request: HttpRequest) -> HttpResponse:
    head = Letterhead.objects.order_by("-version").first()
    return render(request, "intake/front.html", {"head": head})
