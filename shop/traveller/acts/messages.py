"""Writing to the customer from the sheet."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import URLPattern, path
from django.views.decorators.http import require_POST

from intake import questions
from shop.access import now, order_for_staff, person_of, staff_only
from shop.traveller.acting import acted
from shop.traveller.forms.beside import MessageForm


@require_POST
@staff_only
def write(request: HttpRequest, code: str) -> HttpResponse:
    order, at = order_for_staff(code), now()

    def deed(given: dict[str, Any]) -> str:
        questions.answer(
            order=order, text=given["text"], form_key=given["form_key"], by=person_of(request), at=at
        )
        if order.customer is None or not order.customer.email:
            return "Written on the sheet. No letter could go: no e-mail address is known."
        return f"Written, and a letter to {order.customer.email} is on its way."

    return acted(request, order, MessageForm(request.POST), deed, name="message", at="messages")


urlpatterns: list[URLPattern] = [path("sheet/<code:code>/write/", write, name="write")]
