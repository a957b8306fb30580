"""Goods out: what waits to be packed, what is unpaid, and what is on its way."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from shop.access import now, staff_only
from shop.returns.waiting import goods_out as lay_out


@require_safe
@staff_only
def goods_out(request: HttpRequest) -> HttpResponse:
    at = now()
    context = {"page": lay_out(at=at), "at": at, "today": timezone.localdate(at)}
    return render(request, "shop/goods_out.html", context)
