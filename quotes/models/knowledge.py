"""What the shop learns: its own words for things, its meters, and readings of boards that are good."""

from django.db import models
from django.db.models import F, Q


class ListWord(models.Model):
    """One word of a list that the shop grows: a board of a family, a point on a board, a fault class.

    Rows elsewhere keep the words as they were typed. A merge is written here alone (`merged_into`), so that nothing
    is rewritten and a merge can be taken back.
    """

    class Kind(models.TextChoices):
        FAMILY = "family", "Families of devices"
        BOARD = "board", "Boards"
        REVISION = "revision", "Revisions of boards"
        POINT = "point", "Test points"
        FAULT = "fault", "Fault classes"
        SYMPTOM = "symptom", "Symptoms"

    kind = models.CharField(max_length=8, choices=Kind.choices)
    name = models.CharField(max_length=120)
    folded = models.CharField(
        max_length=120, help_text="The name as it is compared: case, spaces and signs aside."
    )
    within = models.ForeignKey(
        "self", null=True, on_delete=models.PROTECT, related_name="inside",
        help_text="A board's family, a revision's or a point's board.",
    )  # fmt: skip
    merged_into = models.ForeignKey("self", null=True, on_delete=models.PROTECT, related_name="doubles")
    nominal_volts = models.DecimalField(
        max_digits=8, decimal_places=3, null=True, help_text="Of a rail: what it carries when all is well."
    )
    retired = models.BooleanField(default=False, help_text="No longer offered; what is written stays.")
    made_at = models.DateTimeField()
    made_by = models.ForeignKey("intake.Person", null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["kind", "name"]
        constraints = [
            models.UniqueConstraint(name="list_word_once", fields=["kind", "within", "folded"]),
            models.UniqueConstraint(
                name="list_word_once_on_top", fields=["kind", "folded"], condition=Q(within__isnull=True)
            ),
            models.CheckConstraint(
                name="list_word_not_into_itself",
                condition=Q(merged_into__isnull=True) | ~Q(merged_into=F("id")),
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Meter(models.Model):
    """A meter of the bench. Readings are compared within one meter, or across two whose offsets are known."""

    name = models.CharField(max_length=40, unique=True)
    note = models.CharField(max_length=200, blank=True)
    active = models.BooleanField(default=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class MeterOffset(models.Model):
    """By how much a meter reads too high in a mode, in the base unit; a change is a new row, the newest holds."""

    meter = models.ForeignKey(Meter, on_delete=models.PROTECT, related_name="offsets")
    mode = models.CharField(max_length=12)
    amount = models.DecimalField(max_digits=18, decimal_places=9)
    why = models.CharField(max_length=200, blank=True)
    since = models.DateTimeField()
    by = models.ForeignKey("intake.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["since", "id"]

    def __str__(self) -> str:
        return f"{self.meter_id} {self.mode} {self.amount}"


class GoodReading(models.Model):
    """A reading on a board that is known to be good, taken apart from any order. Never edited, only struck."""

    key = models.CharField(max_length=64, unique=True)
    specimen = models.CharField(
        max_length=60, help_text="Which good board: its label. One counts once a point."
    )
    board = models.CharField(max_length=80)
    revision = models.CharField(max_length=40, blank=True)
    point = models.CharField(max_length=80)
    state = models.CharField(max_length=60, blank=True)
    mode = models.CharField(max_length=12)
    polarity = models.CharField(max_length=20, blank=True)
    meter = models.CharField(max_length=40, blank=True)
    value = models.DecimalField(max_digits=24, decimal_places=9, null=True)
    special = models.CharField(max_length=8, blank=True)
    prefix = models.CharField(max_length=2, blank=True)
    unit = models.CharField(max_length=6, blank=True)
    typed = models.CharField(max_length=120)
    struck_at = models.DateTimeField(null=True)
    struck_why = models.CharField(max_length=200, blank=True)
    at = models.DateTimeField()
    by = models.ForeignKey("intake.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["at", "id"]
        indexes = [models.Index(fields=["board", "point", "mode"], name="good_reading_by_point")]
        constraints = [
            models.CheckConstraint(
                name="good_reading_diode_has_polarity", condition=~Q(mode="diode") | ~Q(polarity="")
            ),
            models.CheckConstraint(
                name="good_reading_number_or_special",
                condition=Q(value__isnull=False, special="") | (Q(value__isnull=True) & ~Q(special="")),
            ),
            models.CheckConstraint(
                name="good_reading_struck_says_why", condition=Q(struck_at__isnull=True) | ~Q(struck_why="")
            ),
        ]

    def __str__(self) -> str:
        return f"{self.board} {self.point} {self.typed}"
