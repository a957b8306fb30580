"""Settings of the owner: people and their roles."""

from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from intake import staffing
from intake.models import Person
from intake.refusals import Refused
from shop.access import now, owner_only, person_of
from shop.doors import factor
from shop.doors.fresh import fresh_only
from shop.office.editing import Page, edit
from shop.office.forms_people import NewPersonForm, PasswordForm, PersonForm

require_form = require_http_methods(["GET", "HEAD", "POST"])


@require_safe
@owner_only
def people(request: HttpRequest) -> HttpResponse:
    rows = Person.objects.select_related("second_factor").order_by("-is_active", "first_name", "username")
    return render(request, "shop/settings/people.html", {"people": rows})


@sensitive_post_parameters("password")
@require_form
@owner_only
@fresh_only
def add(request: HttpRequest) -> HttpResponse:
    form = NewPersonForm(request.POST or None, initial={"role": Person.Role.TECHNICIAN})
    page = Page(
        "Somebody new", "They can sign in at once.", reverse("shop:people"), act="Add", saved="Added."
    )
    return edit(
        request, page, form,
        lambda given: staffing.add_person(
            username=given["username"], given=form.particulars(), password=given["password"],
            by=person_of(request), at=now(),
        ),
    )  # fmt: skip


@require_form
@owner_only
@fresh_only
def change(request: HttpRequest, pk: int) -> HttpResponse:
    person = get_object_or_404(Person, pk=pk)
    names = ("first_name", "last_name", "initials", "email", "role")
    form = PersonForm(request.POST or None, initial={name: getattr(person, name) for name in names})
    page = Page(
        str(person), f"Signs in as {person.username}.", reverse("shop:people"), saved="Saved.",
        template="shop/settings/person.html", more={"person": person, "password_form": PasswordForm(), "second": factor.confirmed(person)},
    )  # fmt: skip
    return edit(
        request, page, form,
        lambda given: staffing.change_person(person=person, given=form.particulars(), by=person_of(request), at=now()),
    )  # fmt: skip


@sensitive_post_parameters("password")
@require_form
@owner_only
@fresh_only
def password(request: HttpRequest, pk: int) -> HttpResponse:
    """Their sign-ins elsewhere end; the owner's own, where this is the owner, goes on."""
    person = get_object_or_404(Person, pk=pk)
    page = Page(
        f"A new password for {person}", "Where they are signed in, they have to sign in again.",
        reverse("shop:people"), act="Set it", saved="The password is set.",
    )  # fmt: skip
    form = PasswordForm(request.POST or None)

    def save(given: dict[str, str]) -> Person:
        staffing.give_password(person=person, password=given["password"], by=person_of(request), at=now())
        if person.pk == request.user.pk:
            update_session_auth_hash(request, person)
        return person

    return edit(request, page, form, save)


@require_POST
@owner_only
@fresh_only
def let_go(request: HttpRequest, pk: int) -> HttpResponse:
    """Lets somebody go, or takes them back, as the button says."""
    person, back = get_object_or_404(Person, pk=pk), request.POST.get("active") == "yes"
    try:
        staffing.set_active(person=person, active=back, by=person_of(request), at=now())
    except Refused as refusal:
        messages.error(request, refusal.sentence)
    else:
        said = "can sign in again" if back else "can no longer sign in. What they signed stays theirs"
        messages.success(request, f"{person} {said}.")
    return HttpResponseRedirect(reverse("shop:people"), status=303)
