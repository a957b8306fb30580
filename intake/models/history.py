"""What happened, for good: rows are only ever added, each chained to the one before by its digest."""

from django.db import models


class HistoryHead(models.Model):
    """The one row that every append locks, so that the chain has no fork and no gap."""

    seq = models.PositiveBigIntegerField(default=0)
    digest = models.CharField(max_length=64, default="")

    def __str__(self) -> str:
        return f"history up to {self.seq}"


class HistoryEntry(models.Model):
    """Written only by `intake.history.record`; triggers on both engines refuse a change or a removal.

    Personal data goes in by salted digest only (`intake.history.sealed`), so that erasing a person
    does not break the chain.
    """

    seq = models.PositiveBigIntegerField(unique=True)
    order = models.ForeignKey("intake.Order", null=True, on_delete=models.PROTECT, related_name="history")
    at = models.DateTimeField()
    who = models.CharField(max_length=40)
    what = models.CharField(max_length=40)
    facts = models.JSONField(default=dict)
    previous = models.CharField(max_length=64)
    digest = models.CharField(max_length=64)

    class Meta:
        ordering = ["seq"]
        verbose_name_plural = "history entries"
        indexes = [models.Index(fields=["order", "seq"], name="history_of_order")]

    def __str__(self) -> str:
        return f"{self.seq} {self.what}"
