"""What was seen when the parcel was opened."""

from django.db import models
from django.db.models import Q


class Arrival(models.Model):
    """One row an order; photos are rows of their own with roles outside, opening and identity."""

    order = models.OneToOneField("intake.Order", on_delete=models.PROTECT, related_name="arrival")
    at = models.DateTimeField()
    received_by = models.ForeignKey("intake.Person", on_delete=models.PROTECT, related_name="+")
    parcel_state = models.CharField(max_length=12)
    parcel_words = models.CharField(max_length=300, blank=True)
    contents = models.JSONField(default=list, help_text="[{what, announced, here}] in the order of the form.")
    condition = models.TextField(blank=True)
    serial_read = models.CharField(max_length=40, blank=True)
    serial_matches = models.CharField(max_length=10, default="unread")
    cell_state = models.CharField(max_length=12)
    weight_grams = models.PositiveIntegerField(null=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="arrival_weight_sane",
                condition=Q(weight_grams__isnull=True) | Q(weight_grams__lte=50_000),
            )
        ]

    def __str__(self) -> str:
        return f"arrival of {self.order_id}"
