"""The second step: begun, confirmed by its first code, its list printed, taken off, put off."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from intake.house import house
from intake.refusals import Refused
from shop.access import now, person_of, staff_only
from shop.doors import factor, one_time, policy, sessions
from shop.doors.forms import CodeForm
from shop.doors.fresh import fresh_only
from shop.doors.in_views import goal
from shop.doors.my_views import to_mine
from shop.doors.own import own_door, whose
from shop.models import SecondFactor


@never_cache
@sensitive_post_parameters("code")
@require_http_methods(["GET", "HEAD", "POST"])
@own_door
@fresh_only
def second(request: HttpRequest) -> HttpResponse:
    """Shows the picture of a second step that was begun; a post is its first code and shows the list, once."""
    person, form = whose(request), CodeForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            lines = factor.confirm(person=person, typed=form.cleaned_data["code"], by=person, at=now())
        except Refused as refusal:
            form.add_error("code", refusal.sentence)
        else:
            person.refresh_from_db()
            sessions.go_on(request, person)
            sessions.passed_code(request)
            return _list(request, lines, first=True)
    status = 422 if request.method == "POST" else 200
    return render(request, "shop/doors/second.html", _setting_up(request, form), status=status)


@require_POST
@own_door
@fresh_only
def begin(request: HttpRequest) -> HttpResponse:
    """A fresh secret; nothing is asked of anybody before a code of it was typed."""
    person = whose(request)
    try:
        factor.begin(person=person, by=person, at=now())
    except Refused as refusal:
        messages.error(request, refusal.sentence)
        return HttpResponseRedirect(reverse("shop:my_sign_in"), status=303)
    return HttpResponseRedirect(reverse("shop:second_step"), status=303)


@require_POST
@own_door
def later(request: HttpRequest) -> HttpResponse:
    """Put setting it up off, as long as it may wait."""
    person, at = whose(request), now()
    until = policy.ask(person=person, at=at)
    if until <= at:
        return HttpResponseRedirect(reverse("shop:second_step"), status=303)
    sessions.put_off(request, until)
    return HttpResponseRedirect(goal(request), status=303)


@never_cache
@require_POST
@staff_only
@fresh_only
def new_list(request: HttpRequest) -> HttpResponse:
    person = person_of(request)
    try:
        lines = factor.new_list(person=person, by=person, at=now())
    except Refused as refusal:
        messages.error(request, refusal.sentence)
        return HttpResponseRedirect(reverse("shop:my_sign_in"), status=303)
    return _list(request, lines, first=False)


@require_POST
@staff_only
@fresh_only
def take_off(request: HttpRequest) -> HttpResponse:
    person = person_of(request)
    factor.take_off(person=person, by=person, at=now())
    sessions.go_on(request, person)
    sessions.lost_code(request)
    return to_mine(request, "Your sign-in has no second step any more.")


def _list(request: HttpRequest, lines: list[str], *, first: bool) -> HttpResponse:
    context = {"lines": lines, "first": first, "person": whose(request), "at": now()}
    return render(request, "shop/doors/list.html", context)


def _setting_up(request: HttpRequest, form: CodeForm) -> dict[str, object]:
    """Keys: form, person, owing, until (it may be put off), done, and of one begun picture and letters."""
    person, at = whose(request), now()
    owes = sessions.owing(request) is not None
    until = policy.may_wait_until(person)
    context: dict[str, object] = {
        "form": form,
        "person": person,
        "owing": owes,
        "next": goal(request),
        "until": until,
        "may_wait": owes and (until is None or until > at),
        "done": factor.confirmed(person) is not None,
    }
    row = factor.begun(person)
    return context | _shown(row, person.username) if row else context


def _shown(row: SecondFactor, name: str) -> dict[str, object]:
    try:
        secret = factor.secret_of(row)
    except Refused as refusal:
        return {"unreadable": refusal.sentence}
    address = one_time.address(secret, name=name, house=house().name)
    return {"picture": one_time.picture(address), "letters": one_time.in_fours(secret)}
