"""Unlock codes: sealed at rest, shown for a minute to a person with a reason, erased at home."""

from django.db import models
from django.db.models import Q


class UnlockCode(models.Model):
    """`sealed` is AES-GCM over the code, bound to the order; empty once it is erased. The row stays and says when."""

    class Shape(models.TextChoices):
        DIGITS = "digits", "Digits"
        WORD = "word", "Password"
        PATTERN = "pattern", "Pattern"

    order = models.ForeignKey("intake.Order", on_delete=models.PROTECT, related_name="unlock_codes")
    shape = models.CharField(max_length=8, choices=Shape.choices)
    sealed = models.BinaryField(default=bytes)
    key_name = models.CharField(max_length=20)
    given_at = models.DateTimeField()
    given_by = models.CharField(max_length=40)
    erased_at = models.DateTimeField(null=True)
    erased_why = models.CharField(max_length=120, blank=True)

    class Meta:
        ordering = ["given_at", "id"]
        constraints = [
            models.UniqueConstraint(
                name="unlock_code_one_an_order", fields=["order"], condition=Q(erased_at__isnull=True)
            ),
            models.CheckConstraint(
                name="unlock_code_erased_is_empty",
                condition=Q(erased_at__isnull=True) | (Q(sealed=b"") & ~Q(erased_why="")),
            ),
        ]

    def __str__(self) -> str:
        return f"code of {self.order_id}"


class CodeShowing(models.Model):
    """Somebody looked at a code, and said why. The customer sees it."""

    code = models.ForeignKey(UnlockCode, on_delete=models.PROTECT, related_name="showings")
    reason = models.CharField(max_length=200)
    at = models.DateTimeField()
    until = models.DateTimeField()
    by = models.ForeignKey("intake.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["at", "id"]
        constraints = [models.CheckConstraint(name="code_showing_has_reason", condition=~Q(reason=""))]

    def __str__(self) -> str:
        return f"showing of {self.code_id}"
