"""Finding the person somebody asks about."""

from django.db.models import Count, Q

from intake import codes
from intake.models import Customer

MOST = 50


def find_people(words: str) -> list[Customer]:
    """Who has that e-mail, or sent the order with that code, or has that in their name; newest first, fifty at most."""
    typed = words.strip()[:200]
    if not typed:
        return []
    code = codes.normalise(typed)
    for rule in (
        Q(orders__code=code or typed),
        Q(email__iexact=typed),
        Q(name__icontains=typed) if len(typed) > 2 else Q(pk__in=[]),
    ):
        rows = Customer.objects.filter(rule, erased_at__isnull=True).annotate(
            count=Count("orders", distinct=True)
        )
        if found := list(rows.order_by("-created_at", "-pk")[:MOST]):
            return found
    return []
