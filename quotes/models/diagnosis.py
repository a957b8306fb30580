"""What was measured and what was found."""

from django.db import models
from django.db.models import F, Q


class Reading(models.Model):
    """One measurement. Never edited, only superseded. OL is a value of its own: no number, no null meaning.

    `value` is in the base unit (ohm, volt, ampere, hertz, celsius); the prefix it was typed with is kept
    beside it, since a milliohm and a megohm look alike.
    """

    order = models.ForeignKey("intake.Order", on_delete=models.PROTECT, related_name="readings")
    key = models.CharField(max_length=64, unique=True)
    board = models.CharField(max_length=80, blank=True)
    revision = models.CharField(max_length=40, blank=True)
    side = models.CharField(max_length=8, blank=True, help_text="top, bottom, or empty.")
    point = models.CharField(max_length=80)
    state = models.CharField(max_length=60, blank=True)
    supply_volts = models.DecimalField(max_digits=8, decimal_places=3, null=True)
    supply_amps = models.DecimalField(max_digits=8, decimal_places=3, null=True, help_text="The limit set.")
    mode = models.CharField(max_length=12)
    polarity = models.CharField(max_length=20, blank=True)
    meter = models.CharField(max_length=40, blank=True)
    value = models.DecimalField(max_digits=24, decimal_places=9, null=True)
    special = models.CharField(max_length=8, blank=True)
    prefix = models.CharField(max_length=2, blank=True)
    unit = models.CharField(max_length=6, blank=True)
    typed = models.CharField(max_length=120)
    low = models.DecimalField(max_digits=24, decimal_places=9, null=True)
    high = models.DecimalField(max_digits=24, decimal_places=9, null=True)
    expected_special = models.CharField(max_length=8, blank=True)
    expected_from = models.CharField(max_length=80, blank=True)
    expected_n = models.PositiveIntegerField(null=True, help_text="How many own good boards stand behind it.")
    proposed = models.CharField(max_length=20, blank=True, help_text="The rule's verdict.")
    verdict = models.CharField(max_length=20, blank=True)
    verdict_why = models.CharField(max_length=200, blank=True)
    phase = models.CharField(
        max_length=6, default="before", choices=[("before", "Before"), ("after", "After")]
    )
    superseded_by = models.OneToOneField(
        "self", null=True, on_delete=models.PROTECT, related_name="supersedes"
    )
    at = models.DateTimeField()
    by = models.ForeignKey("intake.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["at", "id"]
        indexes = [models.Index(fields=["board", "point", "mode"], name="reading_by_point")]
        constraints = [
            models.CheckConstraint(
                name="reading_overruled_says_why",
                condition=Q(proposed="") | Q(verdict=F("proposed")) | ~Q(verdict_why=""),
            ),
            models.CheckConstraint(
                name="reading_diode_has_polarity", condition=~Q(mode="diode") | ~Q(polarity="")
            ),
            models.CheckConstraint(
                name="reading_number_or_special",
                condition=Q(value__isnull=False, special="") | (Q(value__isnull=True) & ~Q(special="")),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.point} {self.typed}"


class Finding(models.Model):
    """What is wrong, where and why, in the customer's words; and what it makes of the customer's idea."""

    class Mendable(models.TextChoices):
        YES = "yes", "Yes, quote it"
        NO = "no", "No, send it back"

    class Idea(models.TextChoices):
        NONE = "none", "No idea was given"
        RIGHT = "right", "The idea was right"
        PARTLY = "partly", "The idea was partly right"
        NOT = "not", "The idea was not the cause"

    order = models.ForeignKey("intake.Order", on_delete=models.PROTECT, related_name="findings")
    key = models.CharField(max_length=64, unique=True)
    fault_class = models.CharField(max_length=60)
    part = models.CharField(max_length=80, blank=True, help_text="Which part, as on the board: C2301.")
    place = models.CharField(max_length=120, blank=True)
    explains = models.JSONField(
        default=list, help_text="The symptoms it explains, as the customer gave them."
    )
    not_explained = models.JSONField(default=list, help_text="Those it does not.")
    suggested = models.CharField(
        max_length=60,
        blank=True,
        help_text="What the orders seen before pointed to, as it stood on the sheet.",
    )
    cause = models.CharField(max_length=200, blank=True)
    words = models.TextField()
    idea_answer = models.CharField(max_length=6, choices=Idea.choices, default=Idea.NONE)
    idea_words = models.CharField(max_length=400, blank=True)
    mendable = models.CharField(max_length=4, choices=Mendable.choices)
    at = models.DateTimeField()
    by = models.ForeignKey("intake.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["at", "id"]

    def __str__(self) -> str:
        return self.fault_class
