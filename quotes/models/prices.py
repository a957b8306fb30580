"""What work costs: remedies, and the rates with the day they hold from."""

from django.db import models
from django.db.models import Q


class Remedy(models.Model):
    """A labour operation with its standard minutes; flat price or minutes times the rate."""

    name = models.CharField(max_length=120, unique=True)
    plain = models.CharField(max_length=200, blank=True, help_text="As the customer reads it.")
    fault_class = models.CharField(max_length=60, blank=True)
    minutes = models.PositiveIntegerField()
    minutes_low = models.PositiveIntegerField(null=True, blank=True)
    minutes_high = models.PositiveIntegerField(null=True, blank=True)
    tax_kind = models.CharField(max_length=12, blank=True, help_text="Empty: taxed as labour.")
    flat_price = models.DecimalField(max_digits=12, decimal_places=3, null=True, blank=True)
    steps = models.JSONField(default=list, help_text="What the bench ticks, one a line.")
    warranty_days = models.PositiveIntegerField(null=True, blank=True)
    merged_into = models.ForeignKey("self", null=True, on_delete=models.PROTECT, related_name="doubles")
    active = models.BooleanField(default=True)

    class Meta:
        ordering = ["name"]
        verbose_name_plural = "remedies"
        constraints = [
            models.CheckConstraint(
                name="remedy_price_not_negative", condition=Q(flat_price__isnull=True) | Q(flat_price__gte=0)
            )
        ]

    def __str__(self) -> str:
        return self.name


class Surcharge(models.Model):
    """Something that comes on top: a fixed sum, or a share of labour and parts; exactly one of the two."""

    name = models.CharField(max_length=80, unique=True)
    plain = models.CharField(max_length=200, blank=True, help_text="As the customer reads it.")
    kind = models.CharField(max_length=8, default="fee", help_text="rush, fee, media, labour or post")
    amount = models.DecimalField(max_digits=12, decimal_places=3, null=True, blank=True)
    percent = models.DecimalField(max_digits=6, decimal_places=3, null=True, blank=True)
    still_charged = models.BooleanField(default=False)
    active = models.BooleanField(default=True)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                name="surcharge_sum_or_share",
                condition=Q(amount__isnull=False, percent__isnull=True)
                | Q(amount__isnull=True, percent__isnull=False),
            )
        ]

    def __str__(self) -> str:
        return self.name


class TradeTier(models.Model):
    """Prices of a kind of trade customer: factors on what the rules and the lists make (0.85 is 15 % less)."""

    name = models.CharField(max_length=60, unique=True)
    labour_factor = models.DecimalField(max_digits=6, decimal_places=4, default=1)
    parts_factor = models.DecimalField(max_digits=6, decimal_places=4, default=1)
    post_free = models.BooleanField(default=False)
    payment_days = models.PositiveSmallIntegerField(null=True, blank=True)
    active = models.BooleanField(default=True)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                name="tier_factors_positive", condition=Q(labour_factor__gt=0, parts_factor__gt=0)
            )
        ]

    def __str__(self) -> str:
        return self.name


class Rates(models.Model):
    """One row a version; a quote keeps the rates of its day. The newest row holds now."""

    version = models.PositiveIntegerField(unique=True)
    since = models.DateTimeField()
    changed_by = models.ForeignKey("intake.Person", null=True, on_delete=models.PROTECT, related_name="+")
    rate_per_minute = models.DecimalField(max_digits=10, decimal_places=4)
    cost_per_minute = models.DecimalField(max_digits=10, decimal_places=4)
    tax_name = models.CharField(max_length=40, default="Tax")
    tax_percents = models.JSONField(
        default=dict, help_text='Percent by kind of line, as text: {"part": "8"}.'
    )
    tax_rules = models.JSONField(
        default=dict, blank=True, help_text="A tax profile; empty: the percents by kind of line."
    )
    tax_inclusive = models.BooleanField(default=False)
    rounding = models.CharField(max_length=8, default="document")
    price_ending = models.DecimalField(max_digits=6, decimal_places=3, null=True, blank=True)
    markup_bands = models.JSONField(default=list, help_text='[["up to cost" or null, "factor"]] as text.')
    return_post_price = models.DecimalField(max_digits=10, decimal_places=3)
    return_post_cost = models.DecimalField(max_digits=10, decimal_places=3)
    rush_fee = models.DecimalField(max_digits=10, decimal_places=3, default=0)
    minimum_charge = models.DecimalField(max_digits=10, decimal_places=3, default=0)
    declined_fee = models.DecimalField(max_digits=10, decimal_places=3, default=0)
    fee_waived_above = models.DecimalField(
        max_digits=12,
        decimal_places=3,
        null=True,
        blank=True,
        help_text="A quote above this sum leaves the diagnosis free, whatever the answer.",
    )
    cash_step = models.DecimalField(max_digits=8, decimal_places=3, null=True, blank=True)
    overrun_rule = models.CharField(
        max_length=8,
        default="none",
        choices=[
            ("none", "Never above the quote"),
            ("greater", "Up to a sum or a share, whichever is more"),
            ("share", "Up to a share"),
        ],
    )
    overrun_sum = models.DecimalField(max_digits=10, decimal_places=3, default=0)
    overrun_percent = models.DecimalField(max_digits=6, decimal_places=3, default=0)
    interest_percent = models.DecimalField(
        max_digits=6, decimal_places=3, default=0, help_text="A year, simple; only ever proposed."
    )
    card_percent = models.DecimalField(max_digits=6, decimal_places=3, default=0)
    card_fixed = models.DecimalField(max_digits=8, decimal_places=3, default=0)
    quote_days = models.PositiveSmallIntegerField(default=21)
    reminder_days = models.JSONField(default=list, help_text="Days after sending, as numbers.")
    promise_days = models.PositiveSmallIntegerField(default=7)
    warranty_days = models.PositiveSmallIntegerField(default=90)
    payment_days = models.PositiveSmallIntegerField(default=14)

    class Meta:
        ordering = ["version"]
        verbose_name_plural = "rates"

    def __str__(self) -> str:
        return f"rates {self.version}"

    @classmethod
    def current(cls) -> "Rates":
        """The version in force. Raises Rates.DoesNotExist before the shop is set up."""
        return cls.objects.latest("version")
