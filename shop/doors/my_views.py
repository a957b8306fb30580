"""Your sign-in: the second step, the printed list, the password, the other sign-ins."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from intake.refusals import Refused
from shop.access import now, person_of, staff_only
from shop.doors import browsers, coming_in, factor, policy, sessions, sign_ins
from shop.doors.coming_in import Shut
from shop.doors.forms import OwnPasswordForm
from shop.doors.fresh import fresh_only, prove
from shop.models import KnownBrowser, SignInTry

require_form = require_http_methods(["GET", "HEAD", "POST"])
LATEST = 10


@never_cache
@require_safe
@staff_only
def mine(request: HttpRequest) -> HttpResponse:
    person, at = person_of(request), now()
    live = KnownBrowser.objects.filter(person=person, ended_at=None, last_at__gt=at - browsers.YEAR)
    context = {
        "second": factor.confirmed(person),
        "codes_left": factor.codes_left(person),
        "asked": policy.asked_of(person),
        "browsers": live,
        "this_browser": browsers.known(request, person, at=at),
        "tries": SignInTry.objects.filter(person=person)[:LATEST],
    }
    return render(request, "shop/doors/mine.html", context)


@never_cache
@sensitive_post_parameters("old_password", "password")
@require_form
@staff_only
def password(request: HttpRequest) -> HttpResponse:
    """The person's own change, with the old password; their sign-ins elsewhere end, this one goes on."""
    form, until, person = OwnPasswordForm(request.POST or None), None, person_of(request)
    if request.method == "POST" and form.is_valid():
        field, given = "old_password", form.cleaned_data
        try:
            coming_in.own_password(request, person, given["old_password"], at=now())
            field = "password"
            sign_ins.change_password(person=person, password=given["password"], at=now())
        except Shut as shut:
            until = shut.until
        except Refused as refusal:
            form.add_error(field, refusal.sentence)
        else:
            sessions.go_on(request, person)
            prove(request)
            return to_mine(request, "Your password is changed. Elsewhere you have to sign in again.")
    status = 429 if until else 422 if request.method == "POST" else 200
    return render(request, "shop/doors/password.html", {"form": form, "until": until}, status=status)


@require_POST
@staff_only
@fresh_only
def end_others(request: HttpRequest) -> HttpResponse:
    person, at = person_of(request), now()
    sign_ins.end_all(person=person, keep=browsers.known(request, person, at=at), at=at)
    sessions.go_on(request, person)
    return to_mine(request, "Your other sign-ins are ended.")


def to_mine(request: HttpRequest, said: str) -> HttpResponse:
    messages.success(request, said)
    return HttpResponseRedirect(reverse("shop:my_sign_in"), status=303)
