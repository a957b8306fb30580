"""In by password, then by code; and the password asked again."""

import datetime as dt

from django.contrib.auth import logout
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from intake.models import Person
from intake.refusals import Refused
from shop.access import now
from shop.doors import browsers, coming_in, half_way, sessions
from shop.doors.coming_in import Shut
from shop.doors.forms import AgainForm, CodeForm, ListCodeForm, SignInForm
from shop.doors.fresh import prove
from shop.doors.own import own_door, whose
from shop.office.kept import kept_post

require_form = require_http_methods(["GET", "HEAD", "POST"])


@never_cache
@sensitive_post_parameters("password")
@require_form
def sign_in(request: HttpRequest) -> HttpResponse:
    """A wrong name and a wrong password are answered alike."""
    form, until = SignInForm(data=request.POST or None), None
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        try:
            heard = coming_in.by_password(request, given["username"], given["password"], at=now())
        except Shut as shut:
            until = shut.until
        else:
            if heard is not None:
                return _after_password(request, heard)
            form.add_error(None, coming_in.NOT_TOGETHER)
    context = {"form": form, "next": goal(request), "kept": kept_post(request), "until": until}
    return render(request, "shop/sign_in.html", context, status=_status(request, until))


@never_cache
@sensitive_post_parameters("code")
@require_form
def code(request: HttpRequest) -> HttpResponse:
    """The second page: nobody is signed in before it was passed."""
    at, from_list = now(), "list" in request.GET
    waiting = half_way.of(request, at=at)
    if waiting is None:
        return HttpResponseRedirect(f"{reverse('shop:sign_in')}?again=1", status=303)
    form, until = (ListCodeForm if from_list else CodeForm)(request.POST or None), None
    if request.method == "POST" and form.is_valid():
        try:
            right = coming_in.by_code(
                request, waiting.person, form.cleaned_data["code"], from_list=from_list, at=at
            )
        except Shut as shut:
            until = shut.until
        except Refused as refusal:
            form.add_error("code", refusal.sentence)
        else:
            if right:
                coming_in.complete(waiting.row)
                return _let_in(request, waiting.person, waiting.goal, with_code=True, at=at)
            if half_way.wrong(request):
                return HttpResponseRedirect(f"{reverse('shop:sign_in')}?again=1", status=303)
            form.add_error("code", coming_in.WRONG_LIST if from_list else coming_in.WRONG_CODE)
    context = {"form": form, "from_list": from_list, "until": until}
    return render(request, "shop/doors/code.html", context, status=_status(request, until))


@never_cache
@sensitive_post_parameters("password")
@require_form
@own_door
def again(request: HttpRequest) -> HttpResponse:
    """The own password once more, before something that must not be done at a screen left open."""
    form, until = AgainForm(request.POST or None), None
    if request.method == "POST" and form.is_valid():
        try:
            coming_in.own_password(request, whose(request), form.cleaned_data["password"], at=now())
        except Shut as shut:
            until = shut.until
        except Refused as refusal:
            form.add_error("password", refusal.sentence)
        else:
            prove(request)
            return HttpResponseRedirect(goal(request), status=303)
    context = {"form": form, "next": goal(request), "kept": kept_post(request), "until": until}
    return render(request, "shop/doors/again.html", context, status=_status(request, until))


@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    person = sessions.owing(request) or request.user
    if isinstance(person, Person):
        coming_in.went_out(request, person, at=now())
    logout(request)
    answer = HttpResponseRedirect(reverse("shop:sign_in"), status=303)
    # Pages leave the browser; what was typed without a connection and is not written yet stays for the next sign-in.
    answer.headers["Clear-Site-Data"] = '"cache"'
    return answer


def goal(request: HttpRequest) -> str:
    """Where to after the sign-in: a page of this house, else the day sheet."""
    wanted = request.POST.get("next") or request.GET.get("next") or ""
    here = {request.get_host()}
    if url_has_allowed_host_and_scheme(wanted, allowed_hosts=here, require_https=request.is_secure()):
        return wanted
    return reverse("shop:day_sheet")


def _after_password(request: HttpRequest, heard: coming_in.Heard) -> HttpResponse:
    if heard.needs_code:
        half_way.begin(request, heard.person, row=heard.row.pk, goal=goal(request), at=now())
        return HttpResponseRedirect(reverse("shop:sign_in_code"), status=303)
    return _let_in(request, heard.person, goal(request), with_code=False, at=now())


def _let_in(
    request: HttpRequest, person: Person, leads_to: str, *, with_code: bool, at: dt.datetime
) -> HttpResponse:
    half_way.end(request)
    sessions.begin(request, person, with_code=with_code)
    answer = HttpResponseRedirect(leads_to, status=303)
    _, new = browsers.remember(request, answer, person, at=at)
    coming_in.welcome(person, new=new, at=at)
    return answer


def _status(request: HttpRequest, until: dt.datetime | None) -> int:
    if until is not None:
        return 429
    return 422 if request.method == "POST" else 200
