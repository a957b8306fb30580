"""Customers of the trade: their terms, and the statements they are sent."""

from django.db import models


class TradeAccount(models.Model):
    """Terms of one trade customer. `certificate`: the resale or exemption paper they showed."""

    customer = models.OneToOneField("intake.Customer", on_delete=models.PROTECT, related_name="trade_account")
    tier = models.ForeignKey(
        "quotes.TradeTier", null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    tax_number = models.CharField(max_length=40, blank=True)
    certificate = models.CharField(max_length=80, blank=True)
    certificate_until = models.DateField(null=True, blank=True)
    on_account = models.BooleanField(default=True, help_text="Goods leave before the bill is paid.")
    payment_days = models.PositiveSmallIntegerField(null=True, blank=True)
    changed_at = models.DateTimeField()
    changed_by = models.ForeignKey("intake.Person", on_delete=models.PROTECT, related_name="+")

    def __str__(self) -> str:
        return f"account of {self.customer_id}"


class Statement(models.Model):
    """What one trade customer owes at the end of a month, frozen as it was sent."""

    number = models.CharField(max_length=20, unique=True)
    account = models.ForeignKey(TradeAccount, on_delete=models.PROTECT, related_name="statements")
    month = models.DateField(help_text="The first day of the month.")
    letterhead = models.ForeignKey("intake.Letterhead", on_delete=models.PROTECT, related_name="+")
    currency = models.CharField(max_length=3)
    total = models.DecimalField(max_digits=12, decimal_places=3)
    shown = models.JSONField()
    at = models.DateTimeField()
    by = models.ForeignKey("intake.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["month", "id"]
        constraints = [models.UniqueConstraint(name="statement_once", fields=["account", "month"])]

    def __str__(self) -> str:
        return self.number
