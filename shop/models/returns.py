"""The way home: the parcel out, who let it go unpaid, the warranty, the wipe."""

from django.db import models
from django.db.models import Q


class Parcel(models.Model):
    """The parcel home. Written when it is handed to the post."""

    order = models.OneToOneField("intake.Order", on_delete=models.PROTECT, related_name="parcel")
    key = models.CharField(max_length=64, unique=True)
    address = models.ForeignKey("intake.Address", on_delete=models.PROTECT, related_name="+")
    carrier = models.CharField(max_length=60)
    tracking = models.CharField(max_length=40, blank=True)
    tracking_scheme = models.CharField(max_length=20, blank=True)
    weight_grams = models.PositiveIntegerField()
    contents = models.JSONField(default=list, help_text="[{what, packed}] equal to goods in.")
    cost = models.DecimalField(max_digits=10, decimal_places=3, default=0)
    packed_by = models.ForeignKey("intake.Person", on_delete=models.PROTECT, related_name="+")
    sent_at = models.DateTimeField()
    delivered_at = models.DateTimeField(null=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="parcel_weight_sane", condition=Q(weight_grams__gt=0, weight_grams__lte=50_000)
            ),
            models.CheckConstraint(name="parcel_cost_not_negative", condition=Q(cost__gte=0)),
        ]

    def __str__(self) -> str:
        return f"parcel of {self.order_id}"


class Override(models.Model):
    """A person let a device go unpaid, and said why."""

    order = models.OneToOneField("intake.Order", on_delete=models.PROTECT, related_name="override")
    reason = models.CharField(max_length=300)
    owed = models.DecimalField(max_digits=12, decimal_places=3)
    at = models.DateTimeField()
    by = models.ForeignKey("intake.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [models.CheckConstraint(name="override_has_reason", condition=~Q(reason=""))]

    def __str__(self) -> str:
        return f"override for {self.order_id}"


class Warranty(models.Model):
    """Runs from delivery, not from the invoice."""

    order = models.OneToOneField("intake.Order", on_delete=models.PROTECT, related_name="warranty")
    starts = models.DateField()
    ends = models.DateField()
    covers = models.CharField(max_length=300)

    class Meta:
        verbose_name_plural = "warranties"
        constraints = [
            models.CheckConstraint(
                name="warranty_ends_after_start", condition=Q(ends__gte=models.F("starts"))
            )
        ]

    def __str__(self) -> str:
        return f"warranty of {self.order_id}"


class WipeRecord(models.Model):
    """A device that is recycled leaves only after its data was wiped, with the method said."""

    order = models.OneToOneField("intake.Order", on_delete=models.PROTECT, related_name="wipe")
    method = models.CharField(max_length=200)
    at = models.DateTimeField()
    by = models.ForeignKey("intake.Person", on_delete=models.PROTECT, related_name="+")

    def __str__(self) -> str:
        return f"wipe of {self.order_id}"


class Cost(models.Model):
    """Money an order cost beside parts and post: a lost parcel, a dispute's fee, a spoiled part."""

    order = models.ForeignKey("intake.Order", on_delete=models.PROTECT, related_name="costs")
    key = models.CharField(max_length=64, unique=True)
    what = models.CharField(max_length=160)
    amount = models.DecimalField(max_digits=12, decimal_places=3)
    at = models.DateTimeField()
    by = models.ForeignKey("intake.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [models.CheckConstraint(name="cost_not_negative", condition=Q(amount__gte=0))]

    def __str__(self) -> str:
        return self.what
