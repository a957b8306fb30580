"""Signing in and out, and what was being sent when a sign-in had ended."""

import hashlib
from urllib.parse import urlsplit

from django.contrib.auth import login, logout
from django.contrib.auth.forms import AuthenticationForm
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.csrf import csrf_failure
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from intake.models import Person
from shop.access import staff_only
from shop.office.forms import SignInForm
from shop.office.kept import drop_post, keep_post, kept_post
from shop.window.limits import too_many

MOST_TRIES, TRY_SECONDS = 20, 600


@never_cache
@sensitive_post_parameters("password")
@require_http_methods(["GET", "HEAD", "POST"])
def sign_in(request: HttpRequest) -> HttpResponse:
    """A wrong name and a wrong password are answered alike."""
    form: AuthenticationForm = SignInForm(request, data=request.POST or None)
    goal, status = _goal(request), 200
    if request.method == "POST":
        tired = too_many("sign-in", _who_tries(request), most=MOST_TRIES, seconds=TRY_SECONDS)
        if not tired and form.is_valid():
            login(request, form.get_user())
            return HttpResponseRedirect(goal, status=303)
        status = 429 if tired else 422
    context = {"form": form, "next": goal, "kept": kept_post(request), "tired": status == 429}
    return render(request, "shop/sign_in.html", context, status=status)


@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    logout(request)
    return HttpResponseRedirect(reverse("shop:sign_in"), status=303)


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


def _who_tries(request: HttpRequest) -> str:
    """Sender and name together, so that a stranger cannot lock somebody else out."""
    tried = f"{request.META.get('REMOTE_ADDR', '')} {request.POST.get('username', '')[:150].lower()}"
    return hashlib.sha256(tried.encode()).hexdigest()


def _goal(request: HttpRequest) -> str:
    """Where to after the sign-in: a page of this house, else the day sheet."""
    wanted = request.POST.get("next") or request.GET.get("next") or ""
    here = {request.get_host()}
    if url_has_allowed_host_and_scheme(wanted, allowed_hosts=here, require_https=request.is_secure()):
        return wanted
    return reverse("shop:day_sheet")
