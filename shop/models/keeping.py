"""Personal data: how long each kind is kept, who was erased, who saw what."""

from django.db import models


class RetentionPlan(models.Model):
    """How long each kind of data is kept, as the owner set it; a change is a new version, the newest holds."""

    version = models.PositiveIntegerField(unique=True)
    since = models.DateTimeField()
    changed_by = models.ForeignKey("intake.Person", null=True, on_delete=models.PROTECT, related_name="+")
    days = models.JSONField(default=dict, help_text='{"photos": 365, ...}; null keeps for good.')
    basis = models.JSONField(default=dict, help_text='{"invoices": "why it must be kept", ...}')

    class Meta:
        ordering = ["version"]

    def __str__(self) -> str:
        return f"retention {self.version}"


class Erasure(models.Model):
    """A person was erased: what was blanked and what had to stay, in numbers and kinds, never in words of theirs."""

    customer = models.ForeignKey("intake.Customer", on_delete=models.PROTECT, related_name="erasures")
    at = models.DateTimeField()
    by = models.CharField(max_length=40)
    why = models.CharField(max_length=200, blank=True)
    blanked = models.JSONField(default=dict, help_text='{"kind": rows}')
    kept = models.JSONField(default=dict, help_text='{"kind": ["until", "named basis"]}')

    class Meta:
        ordering = ["-at", "-id"]

    def __str__(self) -> str:
        return f"erasure {self.pk}"


class Sight(models.Model):
    """Who saw what of an order, once a person, kind and day. `person` is empty where the customer looked."""

    person = models.ForeignKey("intake.Person", null=True, on_delete=models.PROTECT, related_name="sights")
    order = models.ForeignKey("intake.Order", null=True, on_delete=models.PROTECT, related_name="sights")
    what = models.CharField(max_length=20)
    day = models.DateField()
    first_at = models.DateTimeField()

    class Meta:
        ordering = ["-first_at", "-id"]
        constraints = [
            models.UniqueConstraint(name="sight_once_a_day", fields=["person", "order", "what", "day"])
        ]
        indexes = [models.Index(fields=["day"], name="sights_by_day")]

    def __str__(self) -> str:
        return f"{self.what} {self.day}"
