"""Settings of the owner: keys another program reads the figures with."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from intake.refusals import Refused
from shop.access import now, owner_only, person_of
from shop.books import reading_keys
from shop.books.key_forms import KeyForm
from shop.books.reading_views import MOST_TRIES
from shop.doors.fresh import fresh_only
from shop.models import ReadKey


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@owner_only
@fresh_only
def reading_keys_page(request: HttpRequest) -> HttpResponse:
    """A key that was made is on the answer to the post itself and nowhere else: no session and no address ever holds it."""
    form, made = KeyForm(request.POST or None), ""
    if request.method == "POST" and form.is_valid():
        try:
            row, made = reading_keys.make_key(name=form.cleaned_data["name"], by=person_of(request), at=now())
            form = KeyForm()
        except Refused as refusal:
            form.add_error(refusal.field or None, refusal.sentence)
    context = {
        "form": form, "made": made, "most": MOST_TRIES, "keys": ReadKey.objects.select_related("by", "ended_by"),
        "address": request.build_absolute_uri(reverse("shop:figures_json")),
    }  # fmt: skip
    return render(request, "shop/books/reading_keys.html", context, status=422 if form.errors else 200)


@require_POST
@owner_only
@fresh_only
def end_reading_key(request: HttpRequest, *, pk: int) -> HttpResponse:
    key = get_object_or_404(ReadKey, pk=pk)
    reading_keys.end_key(key=key, by=person_of(request), at=now())
    messages.success(request, f"The key {key.name} opens nothing any more.")
    return HttpResponseRedirect(reverse("shop:reading_keys"), status=303)
