"""For the owner: who came in, and a colleague's second step taken off."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from intake.models import Person
from shop.access import now, owner_only, person_of
from shop.doors import factor, tries
from shop.doors.fresh import fresh_only
from shop.models import SignInTry

A_PAGE = 50
A_FEW = 20


@never_cache
@require_safe
@owner_only
def came_in(request: HttpRequest) -> HttpResponse:
    """Every try of the last 90 days, newest first."""
    rows = SignInTry.objects.select_related("person")
    only = request.GET.get("only") == "wrong"
    if only:
        rows = rows.exclude(result__in=(tries.Result.IN, tries.Result.OUT))
    wrong = tries.wrong_in_hour(at=now())
    context = {
        "page": Paginator(rows, A_PAGE).get_page(request.GET.get("page")),
        "query": "only=wrong&" if only else "",
        "only": only,
        "wrong": wrong,
        "many": wrong >= A_FEW,
        "days": tries.KEPT.days,
    }
    return render(request, "shop/doors/came_in.html", context)


@require_POST
@owner_only
@fresh_only
def take_off(request: HttpRequest, pk: int) -> HttpResponse:
    """For a colleague who has lost the phone and the list; they sign in with the password alone and set up anew."""
    person = get_object_or_404(Person, pk=pk)
    gone = factor.take_off(person=person, by=person_of(request), at=now())
    said = f"{person} signs in with the password alone now." if gone else f"{person} had no second step."
    messages.success(request, said)
    return HttpResponseRedirect(reverse("shop:person", args=[pk]), status=303)
