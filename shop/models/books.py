"""What the books keep: a line for each order that has left, sums by day, the shop's own hours, keys to read with."""

from django.db import models
from django.db.models import Q

CLOCKS = ("shop", "customer", "supplier", "carrier")


class BookLine(models.Model):
    """One order that has left, as the books count it: written in the transaction that changes the order, never by hand.

    Money is in the currency's smallest unit, times are seconds since 1970 in UTC (0: never), days are proleptic Gregorian
    ordinals in the shop's zone (0: none), spans are seconds. `manage.py recount_books` works every line out anew and compares.
    The columns are the fields of `shop.books.lines.Line`, in that order.
    """

    order = models.OneToOneField(
        "intake.Order", primary_key=True, on_delete=models.PROTECT, related_name="book_line"
    )
    currency = models.CharField(max_length=3)
    customer = models.BigIntegerField(default=0)
    trade = models.BooleanField(default=False)
    family = models.CharField(max_length=150)
    fault = models.CharField(max_length=60, blank=True)
    remedy = models.CharField(max_length=120, blank=True)
    technician = models.BigIntegerField(default=0, help_text="Who spent most minutes on it; 0: nobody.")
    idea = models.CharField(
        max_length=6, blank=True, help_text="What the finding says of the customer's idea."
    )
    arrived = models.BigIntegerField()
    left = models.BigIntegerField()
    home = models.BigIntegerField(default=0)
    left_day = models.IntegerField()
    station = models.PositiveSmallIntegerField()
    outcome = models.CharField(max_length=12, blank=True)
    comeback_of = models.BigIntegerField(default=0)
    cause = models.CharField(max_length=8, blank=True)
    first_promise = models.IntegerField(default=0)
    last_promise = models.IntegerField(default=0)
    first_sent = models.BigIntegerField(default=0)
    answered = models.BigIntegerField(default=0)
    answer = models.CharField(max_length=10, blank=True)
    choice = models.CharField(max_length=8, blank=True)
    channel = models.CharField(max_length=6, blank=True)
    quoted = models.BigIntegerField(default=0)
    quoted_minutes = models.IntegerField(default=0)
    billed = models.BigIntegerField(default=0)
    parts = models.BigIntegerField(default=0)
    spoiled = models.BigIntegerField(default=0)
    post = models.BigIntegerField(default=0)
    fees = models.BigIntegerField(default=0)
    losses = models.BigIntegerField(default=0)
    look = models.IntegerField(default=0)
    repair = models.IntegerField(default=0)
    test = models.IntegerField(default=0)
    talk = models.IntegerField(default=0)
    bench = models.BigIntegerField(default=0, help_text="Its minutes at what one cost the shop when it left.")
    ours = models.BigIntegerField(default=0)
    theirs = models.BigIntegerField(default=0)
    supplier = models.BigIntegerField(default=0)
    carrier = models.BigIntegerField(default=0)
    at20 = models.BigIntegerField(default=-1, help_text="Seconds at goods in; -1: never stood there.")
    at30 = models.BigIntegerField(default=-1)
    at40 = models.BigIntegerField(default=-1)
    at50 = models.BigIntegerField(default=-1)
    at60 = models.BigIntegerField(default=-1)
    at70 = models.BigIntegerField(default=-1)
    at80 = models.BigIntegerField(default=-1)
    part_wait = models.BigIntegerField(default=-1, help_text="Seconds it waited for a part; -1: it did not.")
    needs_part = models.BooleanField(default=False)
    balance = models.BigIntegerField(default=0, help_text="Owed to the shop; below nought: to be paid back.")
    due = models.IntegerField(default=0)
    deposit = models.BigIntegerField(default=0)
    disputed = models.BigIntegerField(default=0)
    declared = models.BigIntegerField(default=0)

    class Meta:
        indexes = [
            models.Index(fields=["currency", "left"], name="book_line_by_left"),
            models.Index(fields=["comeback_of"], name="book_line_comebacks", condition=~Q(comeback_of=0)),
            models.Index(
                fields=["currency", "due"],
                name="book_line_not_even",
                condition=~Q(balance=0) | ~Q(deposit=0) | ~Q(disputed=0),
            ),
        ]
        constraints = [
            models.CheckConstraint(
                name="book_line_left_after_arrived", condition=Q(left__gte=models.F("arrived"))
            ),
        ]

    def __str__(self) -> str:
        return f"line of {self.order_id}"


class BookDay(models.Model):
    """Sums of the lines that left on one day: of all, and by family, remedy, customer, technician.

    Kept with the lines, in the same transaction; `manage.py recount_books` compares it with them.
    """

    class Facet(models.TextChoices):
        ALL = "all", "All orders"
        FAMILY = "family", "By family"
        REMEDY = "remedy", "By remedy"
        CUSTOMER = "customer", "By customer"
        TECHNICIAN = "technician", "By technician"

    currency = models.CharField(max_length=3)
    facet = models.CharField(max_length=10, choices=Facet.choices)
    day = models.IntegerField(help_text="Ordinal of the day, in the shop's zone.")
    word = models.CharField(max_length=150, blank=True)
    orders = models.IntegerField(default=0)
    billed = models.BigIntegerField(default=0)
    parts = models.BigIntegerField(default=0)
    spoiled = models.BigIntegerField(default=0)
    post = models.BigIntegerField(default=0)
    fees = models.BigIntegerField(default=0)
    losses = models.BigIntegerField(default=0)
    minutes = models.IntegerField(default=0)
    bench = models.BigIntegerField(default=0)

    class Meta:
        constraints = [
            models.UniqueConstraint(name="book_day_once", fields=["currency", "facet", "day", "word"]),
            models.CheckConstraint(name="book_day_not_empty", condition=Q(orders__gt=0)),
        ]

    def __str__(self) -> str:
        return f"{self.facet} {self.word} {self.day}"


class ShopHours(models.Model):
    """When hands are at the bench: a change is a new version, the newest holds."""

    version = models.PositiveIntegerField(unique=True)
    since = models.DateTimeField()
    changed_by = models.ForeignKey("intake.Person", null=True, on_delete=models.PROTECT, related_name="+")
    week = models.JSONField(
        default=list,
        help_text='Seven of ["09:00", "17:00"] or null for closed, Monday first; the shop\'s zone.',
    )
    country = models.CharField(max_length=2, blank=True, help_text="Whose public holidays hold; empty: none.")
    region = models.CharField(max_length=10, blank=True)
    closed = models.JSONField(default=list, help_text='Own closed days as ["2026-08-03", ...].')

    class Meta:
        ordering = ["version"]
        verbose_name_plural = "shop hours"

    def __str__(self) -> str:
        return f"hours {self.version}"


class ReadKey(models.Model):
    """A key another program reads the figures with. Only its digest is kept; it can be ended, never read again."""

    name = models.CharField(max_length=60)
    digest = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField()
    by = models.ForeignKey("intake.Person", on_delete=models.PROTECT, related_name="+")
    ended_at = models.DateTimeField(null=True)
    ended_by = models.ForeignKey("intake.Person", null=True, on_delete=models.PROTECT, related_name="+")
    used_on = models.DateField(null=True, help_text="The last day it was used.")

    class Meta:
        ordering = ["-made_at", "-id"]

    def __str__(self) -> str:
        return self.name


class BookReport(models.Model):
    """A month's report that was posted to the owner: one a month, its figures as they were printed."""

    month = models.CharField(max_length=7, unique=True, help_text="2026-11")
    as_of = models.DateTimeField()
    figures = models.JSONField(default=list)

    class Meta:
        ordering = ["month"]

    def __str__(self) -> str:
        return f"report of {self.month}"
