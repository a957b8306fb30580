"""Pictures, always re-encoded: the file as it came is never kept."""

from django.db import models
from django.db.models import Q


class Photo(models.Model):
    class Role(models.TextChoices):
        CUSTOMER = "customer", "From the customer"
        OUTSIDE = "outside", "Parcel, outside"
        OPENING = "opening", "At opening"
        IDENTITY = "identity", "Serial or plate"
        FAULT = "fault", "The fault"
        BEFORE = "before", "Before"
        AFTER = "after", "After"
        PACKED = "packed", "Packed"

    order = models.ForeignKey("intake.Order", null=True, on_delete=models.PROTECT, related_name="photos")
    draft = models.ForeignKey("intake.Draft", null=True, on_delete=models.SET_NULL, related_name="photos")
    role = models.CharField(max_length=8, choices=Role.choices)
    caption = models.CharField(max_length=160, blank=True)
    sha256 = models.CharField(max_length=64)
    original_sha256 = models.CharField(max_length=64)
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()
    bytes_long = models.PositiveIntegerField()
    shown = models.BooleanField(default=False, help_text="The customer sees it.")
    taken_at = models.DateTimeField()
    taken_by = models.CharField(max_length=40)

    class Meta:
        ordering = ["taken_at", "id"]
        constraints = [
            models.UniqueConstraint(
                name="photo_once_an_order",
                fields=["order", "role", "original_sha256"],
                condition=Q(order__isnull=False),
            )
        ]

    def __str__(self) -> str:
        return f"{self.get_role_display()} {self.sha256[:8]}"
