"""Marks on photos, and the pass with which a phone at the bench sends photos without signing in."""

from django.db import models
from django.db.models import F, Q


class PhotoMark(models.Model):
    """A ring, an arrow or a number on a photo. The photo stays as it is; a copy is drawn with its marks.

    Places are thousandths of the photo's width and height, from the top left.
    """

    class Kind(models.TextChoices):
        RING = "ring", "Ring"
        ARROW = "arrow", "Arrow"
        NUMBER = "number", "Number"

    photo = models.ForeignKey("intake.Photo", on_delete=models.PROTECT, related_name="marks")
    key = models.CharField(max_length=64, unique=True)
    kind = models.CharField(max_length=6, choices=Kind.choices)
    x = models.PositiveSmallIntegerField()
    y = models.PositiveSmallIntegerField()
    to_x = models.PositiveSmallIntegerField(null=True, help_text="A ring's edge, an arrow's point.")
    to_y = models.PositiveSmallIntegerField(null=True)
    number = models.PositiveSmallIntegerField(null=True)
    words = models.CharField(max_length=120, blank=True)
    reading = models.ForeignKey("quotes.Reading", null=True, on_delete=models.PROTECT, related_name="marks")
    at = models.DateTimeField()
    by = models.ForeignKey("intake.Person", on_delete=models.PROTECT, related_name="+")
    removed_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["at", "id"]
        constraints = [
            models.CheckConstraint(
                name="mark_inside_the_photo",
                condition=Q(x__lte=1000, y__lte=1000)
                & (Q(to_x__isnull=True) | Q(to_x__lte=1000))
                & (Q(to_y__isnull=True) | Q(to_y__lte=1000)),
            ),
            models.CheckConstraint(
                name="mark_number_where_numbered",
                condition=Q(kind="number", number__isnull=False)
                | (~Q(kind="number") & Q(to_x__isnull=False, to_y__isnull=False)),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} on {self.photo_id}"


class PhonePass(models.Model):
    """Lets one phone add photos to one order for a short while. Only the digest of its secret is kept."""

    order = models.ForeignKey("intake.Order", on_delete=models.PROTECT, related_name="phone_passes")
    digest = models.CharField(max_length=64, unique=True)
    role = models.CharField(max_length=8)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey("intake.Person", on_delete=models.PROTECT, related_name="+")
    expires_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True)

    class Meta:
        verbose_name_plural = "phone passes"
        constraints = [
            models.CheckConstraint(name="phone_pass_is_short", condition=Q(expires_at__gt=F("made_at")))
        ]

    def __str__(self) -> str:
        return f"phone pass of {self.order_id}"
