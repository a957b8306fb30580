"""Questions and answers between the customer and the shop, on the sheet."""

from django.db import models


class Message(models.Model):
    order = models.ForeignKey("intake.Order", on_delete=models.PROTECT, related_name="messages")
    from_customer = models.BooleanField()
    who = models.CharField(max_length=120)
    text = models.TextField()
    at = models.DateTimeField()
    answered_at = models.DateTimeField(null=True)
    form_key = models.CharField(max_length=64, unique=True)

    class Meta:
        ordering = ["at", "id"]

    def __str__(self) -> str:
        return f"{self.who}: {self.text[:40]}"
