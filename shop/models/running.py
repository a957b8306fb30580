"""How the house runs: each kind of clock work, each backup, each proof that one can be restored."""

from django.db import models


class ClockMark(models.Model):
    """When a kind of clock work last began, last ended well, and last failed."""

    name = models.CharField(max_length=40, primary_key=True)
    began_at = models.DateTimeField()
    done_at = models.DateTimeField(null=True)
    fault_at = models.DateTimeField(null=True)
    fault = models.CharField(max_length=300, blank=True)
    rounds = models.PositiveBigIntegerField(default=0)
    faults = models.PositiveBigIntegerField(default=0)

    def __str__(self) -> str:
        return self.name


class BackupSet(models.Model):
    """One backup: a sealed file with the database and the media, and what its manifest says."""

    class State(models.TextChoices):
        RUNNING = "running", "Being made"
        WHOLE = "whole", "Made"
        FAILED = "failed", "Failed"

    name = models.CharField(max_length=80, unique=True)
    why = models.CharField(max_length=8, help_text="night or hand")
    state = models.CharField(max_length=8, choices=State.choices, default=State.RUNNING)
    began_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True)
    bytes_long = models.PositiveBigIntegerField(null=True)
    rows = models.PositiveBigIntegerField(null=True)
    files = models.PositiveIntegerField(null=True)
    sha256 = models.CharField(max_length=64, blank=True)
    said = models.CharField(max_length=300, blank=True)
    removed_at = models.DateTimeField(null=True, help_text="Its file was cleared away by age.")

    class Meta:
        ordering = ["-began_at", "-id"]

    def __str__(self) -> str:
        return self.name


class RestoreDrill(models.Model):
    """One proof that a backup can be restored: made into a place of its own, compared, and thrown away."""

    class State(models.TextChoices):
        RUNNING = "running", "Under way"
        PROVED = "proved", "Proved"
        FAILED = "failed", "Failed"

    backup = models.ForeignKey(BackupSet, null=True, on_delete=models.PROTECT, related_name="drills")
    state = models.CharField(max_length=8, choices=State.choices, default=State.RUNNING)
    began_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True)
    rows = models.PositiveBigIntegerField(null=True)
    files = models.PositiveIntegerField(null=True)
    said = models.TextField(blank=True, help_text="One sentence a check.")

    class Meta:
        ordering = ["-began_at", "-id"]

    def __str__(self) -> str:
        return f"drill {self.pk}"
