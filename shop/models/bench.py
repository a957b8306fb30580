"""Minutes, repair steps and test sheets."""

from django.db import models
from django.db.models import F, Q


class WorkSession(models.Model):
    """Minutes at the bench: started and stopped, or written down afterwards."""

    class Kind(models.TextChoices):
        LOOK = "look", "Looking"
        REPAIR = "repair", "Repairing"
        TEST = "test", "Testing"
        TALK = "talk", "Talking and paper"

    order = models.ForeignKey("intake.Order", on_delete=models.PROTECT, related_name="work")
    kind = models.CharField(max_length=8, choices=Kind.choices)
    started_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True)
    minutes = models.PositiveIntegerField(default=0)
    by = models.ForeignKey("intake.Person", on_delete=models.PROTECT, related_name="work")
    note = models.CharField(max_length=200, blank=True)
    by_hand = models.BooleanField(
        default=False,
        help_text="Written down afterwards: minutes of a day, not from one clock time to another.",
    )
    seen_at = models.DateTimeField(null=True, help_text="When a hand last did something while it ran.")
    stopped_at = models.DateTimeField(
        null=True, help_text="Before it was mended: when the clock was stopped."
    )
    mended_at = models.DateTimeField(null=True)
    mended_by = models.ForeignKey("intake.Person", null=True, on_delete=models.PROTECT, related_name="+")
    mended_why = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["started_at", "id"]
        indexes = [
            # Holds all that a sum of a window's minutes asks for.
            models.Index(fields=["started_at", "kind", "by", "minutes"], name="work_by_start"),
        ]
        constraints = [
            models.UniqueConstraint(
                name="work_one_open_a_person", fields=["by"], condition=Q(ended_at__isnull=True)
            ),
            models.CheckConstraint(
                name="work_ends_after_start",
                condition=Q(ended_at__isnull=True) | Q(ended_at__gte=F("started_at")),
            ),
            models.CheckConstraint(
                name="work_mended_says_why", condition=Q(mended_at__isnull=True) | ~Q(mended_why="")
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.order_id}"


class StationDraft(models.Model):
    """What is being written at a station and not signed yet: kept as it is typed, dropped with the signature."""

    order = models.ForeignKey("intake.Order", on_delete=models.PROTECT, related_name="station_drafts")
    station = models.PositiveSmallIntegerField()
    fields = models.JSONField(default=dict)
    by = models.ForeignKey("intake.Person", on_delete=models.PROTECT, related_name="+")
    changed_at = models.DateTimeField()

    class Meta:
        constraints = [models.UniqueConstraint(name="station_draft_once", fields=["order", "station"])]

    def __str__(self) -> str:
        return f"draft at {self.station} of {self.order_id}"


class RepairStep(models.Model):
    order = models.ForeignKey("intake.Order", on_delete=models.PROTECT, related_name="steps")
    key = models.CharField(max_length=120, unique=True)
    text = models.CharField(max_length=200)
    remedy = models.ForeignKey("quotes.Remedy", null=True, on_delete=models.PROTECT, related_name="+")
    done_at = models.DateTimeField(null=True)
    by = models.ForeignKey("intake.Person", null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return self.text


class TestSheet(models.Model):
    """The list that must pass for a kind of device; a change is a new version."""

    __test__ = False

    device_kind = models.CharField(max_length=8)
    version = models.PositiveSmallIntegerField()
    since = models.DateTimeField()
    rows = models.JSONField(
        default=list, help_text="[{text, must, unlocked, mode, low, high, soak}] in order; numbers as text."
    )
    soak_minutes = models.PositiveSmallIntegerField(default=30)
    second_eyes = models.BooleanField(default=False, help_text="Another person signs besides the tester.")

    class Meta:
        ordering = ["device_kind", "version"]
        constraints = [models.UniqueConstraint(name="test_sheet_version", fields=["device_kind", "version"])]

    def __str__(self) -> str:
        return f"{self.device_kind} {self.version}"


class TestRun(models.Model):
    """One go at the list on one order. Signed when no row is blank."""

    __test__ = False

    order = models.ForeignKey("intake.Order", on_delete=models.PROTECT, related_name="test_runs")
    sheet = models.ForeignKey(TestSheet, on_delete=models.PROTECT, related_name="runs")
    number = models.PositiveSmallIntegerField(default=1)
    started_at = models.DateTimeField()
    signed_at = models.DateTimeField(null=True)
    by = models.ForeignKey("intake.Person", on_delete=models.PROTECT, related_name="+")
    passed = models.BooleanField(null=True)
    second_by = models.ForeignKey("intake.Person", null=True, on_delete=models.PROTECT, related_name="+")
    second_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(name="test_run_once", fields=["order", "number"]),
            models.CheckConstraint(
                name="test_run_second_is_another", condition=Q(second_by__isnull=True) | ~Q(second_by=F("by"))
            ),
            models.UniqueConstraint(
                name="test_run_one_open", fields=["order"], condition=Q(signed_at__isnull=True)
            ),
        ]

    def __str__(self) -> str:
        return f"test {self.number} of {self.order_id}"


class TestRow(models.Model):
    __test__ = False

    class Result(models.TextChoices):
        OK = "ok", "OK"
        BAD = "bad", "Not OK"
        ABSENT = "absent", "Not fitted"
        ALREADY = "already", "Already bad on arrival"
        CANNOT = "cannot", "Cannot test"

    run = models.ForeignKey(TestRun, on_delete=models.PROTECT, related_name="rows")
    number = models.PositiveSmallIntegerField()
    text = models.CharField(max_length=200)
    must = models.BooleanField(default=True)
    symptom = models.BooleanField(default=False, help_text="The customer's own symptom, tested last.")
    unlocked = models.BooleanField(
        default=False, help_text="Needs the device open: without a code it cannot be tested."
    )
    point = models.CharField(max_length=80, blank=True, help_text="A reading that was bad, asked again here.")
    mode = models.CharField(max_length=12, blank=True)
    polarity = models.CharField(max_length=20, blank=True)
    low = models.DecimalField(max_digits=24, decimal_places=9, null=True)
    high = models.DecimalField(max_digits=24, decimal_places=9, null=True)
    unit = models.CharField(max_length=6, blank=True)
    before = models.ForeignKey("quotes.Reading", null=True, on_delete=models.PROTECT, related_name="+")
    taken = models.ForeignKey("quotes.Reading", null=True, on_delete=models.PROTECT, related_name="+")
    soak_minutes = models.PositiveSmallIntegerField(default=0)
    soak_started_at = models.DateTimeField(null=True)
    soak_ended_at = models.DateTimeField(null=True)
    result = models.CharField(max_length=8, choices=Result.choices, blank=True)
    reason = models.CharField(max_length=200, blank=True)
    reading = models.CharField(max_length=60, blank=True)

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(name="test_row_once", fields=["run", "number"]),
            models.CheckConstraint(
                name="test_row_cannot_says_why", condition=~Q(result="cannot") | ~Q(reason="")
            ),
        ]

    def __str__(self) -> str:
        return self.text
