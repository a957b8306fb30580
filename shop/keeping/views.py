"""The owner's pages of keeping: what is kept, how long, what would go, one person, who saw what."""

import csv
from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import FileResponse, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from intake.lifecycle import Actor
from intake.models import Customer
from quotes.refusals import Refused
from shop.access import now, order_for_staff, owner_only, person_of
from shop.books.formula_safe import harmless
from shop.doors.fresh import fresh_only
from shop.keeping import erasing, exporting, forgetting, plans, register, sights
from shop.keeping.forms import FindForm, PlanForm, WhyForm
from shop.keeping.kinds import KINDS
from shop.keeping.people import find_people
from shop.keeping.places import scope_of
from shop.keeping.row_words import last_day, named, said
from shop.models import Erasure
from shop.office.editing import Page, edit

require_form = require_http_methods(["GET", "HEAD", "POST"])
A_PAGE = 100


@require_safe
@owner_only
def what_we_keep(request: HttpRequest) -> HttpResponse:
    """The register, and the kinds by which it is kept."""
    rows = [row for row in register.as_table() if row[2] != register.CLASSES["none"]]
    return render(request, "shop/keeping/register.html", {"rows": rows, "headings": register.HEADINGS})


@require_safe
@owner_only
def register_file(request: HttpRequest) -> HttpResponse:
    """The whole register as CSV."""
    answer = HttpResponse(content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = 'attachment; filename="what-we-keep.csv"'
    answer.write("\ufeff")
    writer = csv.writer(answer)
    for row in [register.HEADINGS, *register.as_table()]:
        writer.writerow([harmless(cell) for cell in row])
    return answer


@require_form
@owner_only
def kept_for(request: HttpRequest) -> HttpResponse:
    """How long each kind is kept."""
    plan = plans.current()
    form = PlanForm(request.POST or None, plan=plan)
    page = Page(
        "How long things are kept",
        "Each number is in days; an empty field keeps that kind for good. What is over its time goes at night. The usual days are common practice and no law: ask somebody who knows yours.",
        reverse("shop:kept_for"), saved="Saved. It holds from tonight.", template="shop/keeping/plan.html",
        more={"fixed": [kind for kind in KINDS if kind.fixed], "plan": plan},
    )  # fmt: skip
    return edit(
        request, page, form,
        lambda _given: plans.change_plan(
            days=form.days(), basis=form.basis(), seen_version=form.cleaned_data["seen"], by=person_of(request), at=now()
        ),
    )  # fmt: skip


@require_safe
@owner_only
def what_would_go(request: HttpRequest) -> HttpResponse:
    """The dry list: by kind, what the coming night lets go."""
    dues = [(due, named(due.rows)) for due in forgetting.dry(at=now())]
    return render(request, "shop/keeping/would_go.html", {"dues": dues})


@require_safe
@owner_only
def people(request: HttpRequest) -> HttpResponse:
    """Somebody asks what we have of them: find them."""
    form = FindForm(request.GET or None)
    typed = form.cleaned_data["q"] if form.is_valid() else ""
    erased = Erasure.objects.all()[:20]
    context = {"form": form, "typed": typed, "found": find_people(typed), "erased": erased}
    return render(request, "shop/keeping/people.html", context)


@require_safe
@owner_only
def one_person(request: HttpRequest, pk: int) -> HttpResponse:
    """One person: what we have, what would go, what must stay."""
    return _person(request, get_object_or_404(Customer, pk=pk), WhyForm())


@require_POST
@owner_only
@fresh_only
def export(request: HttpRequest, pk: int) -> HttpResponse:
    """Everything about the person as a ZIP."""
    customer, by = get_object_or_404(Customer, pk=pk), person_of(request)
    file = exporting.archive(customer, at=now())
    exporting.told(customer=customer, by=Actor(by.username, by.initials, by), at=now())
    answer = FileResponse(file, as_attachment=True, filename=f"person-{pk}.zip")
    answer["Cache-Control"] = "private, no-store"
    return answer


@require_POST
@owner_only
@fresh_only
def erase(request: HttpRequest, pk: int) -> HttpResponse:
    """Erase the person."""
    customer, by, form = get_object_or_404(Customer, pk=pk), person_of(request), WhyForm(request.POST)
    if form.is_valid():
        try:
            actor = Actor(by.username, by.initials, by)
            erasing.erase(customer=customer, why=form.cleaned_data["why"], by=actor, at=now())
        except Refused as refusal:
            form.add_error(refusal.field if refusal.field in form.fields else None, refusal.sentence)
        else:
            messages.success(request, "Erased. What had to stay is listed here.")
            return HttpResponseRedirect(reverse("shop:one_person", args=[pk]), status=303)
    return _person(request, customer, form, status=422)


def _person(request: HttpRequest, customer: Customer, form: WhyForm, *, status: int = 200) -> HttpResponse:
    scope = scope_of(customer)
    sights.note_orders(person_of(request).pk, scope.orders, "person", at=now())
    outlook = erasing.outlook(customer, at=now())
    context = {
        "customer": customer,
        "outlook": outlook,
        "goes": named(outlook.blanked),
        "stays": [(said(name), last_day(until), why) for name, (until, why) in outlook.kept.items()],
        "erasures": [(row, named(row.blanked)) for row in customer.erasures.all()],
        "form": form,
    }
    return render(request, "shop/keeping/person.html", context, status=status)


@require_safe
@owner_only
def who_saw_person(request: HttpRequest, pk: int) -> HttpResponse:
    """Who of the staff saw anything of a person."""
    customer = get_object_or_404(Customer, pk=pk)
    rows = sights.of_orders(scope_of(customer).orders)
    return _seen(request, rows, {"name": customer.name, "back": reverse("shop:one_person", args=[pk])})


@require_safe
@owner_only
def who_saw_order(request: HttpRequest, code: str) -> HttpResponse:
    """Who of the staff saw an order; the customer's own looks stand with their links."""
    order = order_for_staff(code)
    links = order.links.filter(last_used_at__isnull=False).order_by("-last_used_at")
    back = reverse("shop:sheet", args=[order.code])
    return _seen(request, sights.of_order(order), {"name": order.code, "back": back, "links": links})


def _seen(request: HttpRequest, rows: Any, context: dict[str, Any]) -> HttpResponse:
    page = Paginator(rows, A_PAGE).get_page(request.GET.get("page"))
    shown = [(row, sights.WORDS.get(row.what, row.what)) for row in page]
    return render(request, "shop/keeping/seen.html", {"rows": shown, "page": page, **context})
