"""Signing in and out, and what was being sent when a sign-in had ended."""

from django.contrib.auth import login, logout
from django.contrib.auth.forms import AuthenticationForm
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from shop.access import staff_only
from shop.office.forms import SignInForm
from shop.office.kept import drop_post, kept_post


@never_cache
@sensitive_post_parameters("password")
@require_http_methods(["GET", "HEAD", "POST"])
def sign_in(request: HttpRequest) -> HttpResponse:
    """A wrong name and a wrong password are answered alike."""
    form: AuthenticationForm = SignInForm(request, data=request.POST or None)
    goal = _goal(request)
    if request.method == "POST" and form.is_valid():
        login(request, form.get_user())
        return HttpResponseRedirect(goal, status=303)
    status = 422 if form.errors else 200
    context = {"form": form, "next": goal, "kept": kept_post(request)}
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


def _goal(request: HttpRequest) -> str:
    """Where to after the sign-in: a page of this house, else the day sheet."""
    wanted = request.POST.get("next") or request.GET.get("next") or ""
    here = {request.get_host()}
    if url_has_allowed_host_and_scheme(wanted, allowed_hosts=here, require_https=request.is_secure()):
        return wanted
    return reverse("shop:day_sheet")
