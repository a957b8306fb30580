"""What the ends of the branches leave behind: copied data, a comeback's cause, our own damage, bags counted."""

from django.db import models
from django.db.models import Q


class DataCopy(models.Model):
    """What was copied from a device, and until when the shop keeps its own copy.

    `listing` is the digest list in the format that sha256sum reads; `listing_sha256` is the digest of the list itself.
    """

    order = models.ForeignKey("intake.Order", on_delete=models.PROTECT, related_name="data_copies")
    key = models.CharField(max_length=64, unique=True)
    files = models.PositiveIntegerField()
    bytes_long = models.PositiveBigIntegerField(null=True)
    medium = models.CharField(max_length=120)
    encrypted = models.BooleanField(default=True)
    sample = models.CharField(
        max_length=200, blank=True, help_text="What kind the customer let us open, and how many."
    )
    listing = models.TextField()
    listing_sha256 = models.CharField(max_length=64)
    delete_on = models.DateField()
    at = models.DateTimeField()
    by = models.ForeignKey("intake.Person", on_delete=models.PROTECT, related_name="+")
    deleted_at = models.DateTimeField(null=True)
    deleted_by = models.ForeignKey("intake.Person", null=True, on_delete=models.PROTECT, related_name="+")
    deleted_how = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["at", "id"]
        verbose_name_plural = "data copies"
        constraints = [
            models.CheckConstraint(name="data_copy_has_files", condition=Q(files__gt=0)),
            models.CheckConstraint(
                name="data_copy_deleted_says_how", condition=Q(deleted_at__isnull=True) | ~Q(deleted_how="")
            ),
        ]

    def __str__(self) -> str:
        return f"data of {self.order_id}"


class ComebackCause(models.Model):
    """Why a device came back. The cause decides who pays; a later look is a new row."""

    class Cause(models.TextChoices):
        SAME = "same", "The same fault again"
        WORK = "work", "Our own work"
        LOT = "lot", "A part of a bad lot"
        NEW = "new", "A new fault"
        DAMAGE = "damage", "New damage"

    order = models.ForeignKey("intake.Order", on_delete=models.PROTECT, related_name="comeback_causes")
    key = models.CharField(max_length=64, unique=True)
    cause = models.CharField(max_length=8, choices=Cause.choices)
    words = models.CharField(max_length=400)
    lot = models.ForeignKey("quotes.Lot", null=True, on_delete=models.PROTECT, related_name="comebacks")
    covered = models.BooleanField(help_text="The shop pays: warranty.")
    at = models.DateTimeField()
    by = models.ForeignKey("intake.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["at", "id"]
        constraints = [
            models.CheckConstraint(name="comeback_says_why", condition=~Q(words="")),
            models.CheckConstraint(
                name="comeback_lot_is_named", condition=~Q(cause="lot") | Q(lot__isnull=False)
            ),
        ]

    def __str__(self) -> str:
        return f"{self.cause} of {self.order_id}"


class OwnDamage(models.Model):
    """The shop damaged what it was to mend: said plainly, with what is offered."""

    order = models.OneToOneField("intake.Order", on_delete=models.PROTECT, related_name="own_damage")
    key = models.CharField(max_length=64, unique=True)
    words = models.TextField()
    offered = models.TextField(blank=True)
    worth = models.DecimalField(max_digits=12, decimal_places=3, null=True)
    at = models.DateTimeField()
    by = models.ForeignKey("intake.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [models.CheckConstraint(name="own_damage_has_words", condition=~Q(words=""))]

    def __str__(self) -> str:
        return f"own damage on {self.order_id}"


class SlipEnd(models.Model):
    """How a quarantine or a wrong device was brought to its end."""

    class How(models.TextChoices):
        SAFE = "safe", "The battery is out and in its container; the rest is safe"
        GIVEN = "given", "Handed to a licensed collector"
        FORM = "form", "It is the right device; the form was wrong"
        SWAPPED = "swapped", "The customer sent another device; this one goes on"
        BACK = "back", "It goes back as it came"

    order = models.ForeignKey("intake.Order", on_delete=models.PROTECT, related_name="slip_ends")
    slip = models.OneToOneField("intake.Slip", on_delete=models.PROTECT, related_name="ending")
    how = models.CharField(max_length=8, choices=How.choices)
    words = models.CharField(max_length=400)
    at = models.DateTimeField()
    by = models.ForeignKey("intake.Person", on_delete=models.PROTECT, related_name="+")

    def __str__(self) -> str:
        return f"{self.how} for {self.order_id}"


class BagCount(models.Model):
    """The bags on the shelf at close, counted by hand against the sheets."""

    key = models.CharField(max_length=64, unique=True)
    expected = models.JSONField(default=list)
    found = models.JSONField(default=list)
    missing = models.JSONField(default=list)
    extra = models.JSONField(default=list)
    note = models.CharField(max_length=300, blank=True)
    at = models.DateTimeField()
    by = models.ForeignKey("intake.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["at", "id"]

    def __str__(self) -> str:
        return f"bags counted {self.at:%Y-%m-%d}"
