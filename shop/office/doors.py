"""What was being sent when a sign-in had ended."""

from urllib.parse import urlsplit

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.views.csrf import csrf_failure
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from intake.models import Person
from shop.access import staff_only
from shop.office.kept import drop_post, keep_post, kept_post


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@staff_only
def kept(request: HttpRequest) -> HttpResponse:
    """Shows what was being sent; sending it again is a post of its own to where it belongs. A post here drops it."""
    if request.method == "POST":
        drop_post(request)
        return HttpResponseRedirect(reverse("shop:day_sheet"), status=303)
    if (was := kept_post(request)) is None:
        return HttpResponseRedirect(reverse("shop:day_sheet"))
    return render(request, "shop/kept.html", {"kept": was})


def stale_form(request: HttpRequest, reason: str = "") -> HttpResponse:
    """A page of before the last sign-in was sent: staff find what they typed again, others read what happened.

    Only a post that began on a page of this house is kept: another site may not put words into a session.
    """
    from_here = urlsplit(request.headers.get("Origin", "")).netloc == request.get_host()
    if from_here and isinstance(request.user, Person):
        keep_post(request)
        return HttpResponseRedirect(reverse("shop:kept"), status=303)
    return csrf_failure(request, reason)
