"""The list of digests as a download, for the bench and for the customer."""

from django.http import HttpResponse

from shop.models import DataCopy
from shop.window.files import sealed


def list_file(copy: DataCopy) -> HttpResponse:
    """A text file that `sha256sum -c` reads beside the copied files."""
    answer = sealed(HttpResponse(copy.listing.encode(), content_type="text/plain; charset=utf-8"))
    answer.headers["Content-Disposition"] = f'attachment; filename="{copy.order.code}-sha256.txt"'
    return answer
