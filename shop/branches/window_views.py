"""The customer's way to the list of their own copied files."""

from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from intake.models import CustomerLink, Order
from shop.branches.copies import told
from shop.branches.list_file import list_file
from shop.window.by_link import by_link


@require_safe
@by_link
def own_list(request: HttpRequest, order: Order, link: CustomerLink, pk: int) -> HttpResponse:
    copy = next((copy for copy in told(order) if copy.pk == pk), None)
    if copy is None:
        raise Http404
    return list_file(copy)
