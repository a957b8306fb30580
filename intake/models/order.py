"""The order and its sheet: device, station lines, slips."""

from django.db import models
from django.db.models import F, Q

from intake.stations import NAMES, ON_THE_SHEET, Clock, Outcome, SlipReason, Station, whose_clock


class Device(models.Model):
    class Kind(models.TextChoices):
        PHONE = "phone", "Phone"
        TABLET = "tablet", "Tablet"
        LAPTOP = "laptop", "Laptop"
        BOARD = "board", "Bare board"
        OTHER = "other", "Something else"

    kind = models.CharField(max_length=8, choices=Kind.choices)
    make = models.CharField(max_length=60, blank=True)
    model = models.CharField(max_length=80, blank=True)
    colour = models.CharField(max_length=40, blank=True)
    serial = models.CharField(max_length=40, blank=True)
    imei = models.CharField(max_length=20, blank=True)

    def __str__(self) -> str:
        return self.short or self.get_kind_display()

    @property
    def short(self) -> str:
        return " ".join(word for word in (self.make, self.model) if word)

    @property
    def named(self) -> str:
        """As a sentence names it after "your": make and model, or the kind of thing it is."""
        kind = "device" if self.kind == self.Kind.OTHER else self.get_kind_display().lower()
        return self.short or kind

    @property
    def what(self) -> str:
        """One line for a heading: make, model, kind, colour."""
        parts = [self.short, self.get_kind_display().lower(), self.colour]
        return ", ".join(part for part in parts if part)

    @property
    def family(self) -> str:
        """What orders are grouped by in the books."""
        return self.short or self.get_kind_display()


class Order(models.Model):
    """One device on its way through the bench. Its station changes only through `intake.lifecycle.advance`."""

    code = models.CharField(max_length=9, unique=True)
    station = models.PositiveSmallIntegerField(choices=[(int(s), NAMES[s]) for s in Station])
    version = models.PositiveIntegerField(default=1)
    outcome = models.CharField(max_length=12, blank=True, choices=[(str(o), str(o)) for o in Outcome if o])
    customer = models.ForeignKey(
        "intake.Customer", null=True, on_delete=models.PROTECT, related_name="orders"
    )
    device = models.ForeignKey("intake.Device", on_delete=models.PROTECT, related_name="orders")
    return_address = models.ForeignKey(
        "intake.Address", null=True, on_delete=models.PROTECT, related_name="+"
    )
    comeback_of = models.ForeignKey("self", null=True, on_delete=models.PROTECT, related_name="comebacks")
    salt = models.CharField(max_length=32)
    created_at = models.DateTimeField()
    arrived_at = models.DateTimeField(null=True)
    sent_at = models.DateTimeField(null=True)
    closed_at = models.DateTimeField(null=True)
    posted_at = models.DateTimeField(null=True)
    inbound_tracking = models.CharField(max_length=40, blank=True)
    first_promise = models.DateField(null=True)
    promise = models.DateField(null=True)
    bag = models.CharField(max_length=12, blank=True)

    # What the customer said. The idea is evidence, never the order.
    symptoms = models.JSONField(default=list)
    words = models.TextField(blank=True)
    idea = models.CharField(max_length=300, blank=True)
    before = models.JSONField(default=list)
    before_words = models.TextField(blank=True)
    data_wish = models.CharField(max_length=12, blank=True)
    backed_up = models.CharField(max_length=12, blank=True)
    lock_wish = models.CharField(max_length=24, blank=True)
    standing_limit = models.DecimalField(max_digits=12, decimal_places=3, null=True)
    cell_signs = models.JSONField(default=list)
    in_the_box = models.JSONField(default=list)
    declared_value = models.DecimalField(max_digits=12, decimal_places=3, null=True)
    currency = models.CharField(max_length=3)
    terms_version = models.PositiveIntegerField(default=0)
    form_key = models.CharField(max_length=64, null=True, unique=True)  # noqa: DJ001 -- unique, and absent on old sheets

    class Meta:
        indexes = [
            models.Index(fields=["station", "-created_at", "-id"], name="order_by_station"),
            models.Index(fields=["-created_at", "-id"], name="order_newest_first"),
            models.Index(fields=["bag"], name="order_by_bag"),
            models.Index(
                fields=["currency", "arrived_at"],
                name="order_still_here",
                condition=Q(sent_at__isnull=True, closed_at__isnull=True),
            ),
        ]
        constraints = [
            models.CheckConstraint(
                name="order_station_known", condition=Q(station__in=[int(s) for s in Station])
            ),
            models.CheckConstraint(
                name="order_home_is_closed",
                condition=Q(station=int(Station.HOME), closed_at__isnull=False)
                | (~Q(station=int(Station.HOME)) & Q(closed_at__isnull=True)),
            ),
            models.CheckConstraint(
                name="order_limit_not_negative",
                condition=Q(standing_limit__isnull=True) | Q(standing_limit__gte=0),
            ),
            models.UniqueConstraint(
                name="order_bag_holds_one",
                fields=["bag"],
                condition=Q(closed_at__isnull=True, sent_at__isnull=True) & ~Q(bag=""),
            ),
        ]

    def __str__(self) -> str:
        return self.code

    @property
    def bag_here(self) -> str:
        """The bag the device lies in now; "" once it has left or the sheet is closed."""
        return "" if self.sent_at or self.closed_at else self.bag

    @property
    def at_station(self) -> Station:
        return Station(self.station)

    @property
    def station_name(self) -> str:
        return NAMES[self.at_station]

    @property
    def is_open(self) -> bool:
        return self.station != Station.HOME

    def clock(self) -> Clock:
        """Who has to act now; reads the open slips."""
        reasons = frozenset(SlipReason(s.reason) for s in self.slips.all() if s.ended_at is None)
        return whose_clock(self.at_station, reasons, posted=self.posted_at is not None)


class StationLine(models.Model):
    """One visit to a station on the sheet: open, or signed with who, when and minutes. 70 to 60 makes a new line."""

    order = models.ForeignKey(Order, on_delete=models.PROTECT, related_name="lines")
    station = models.PositiveSmallIntegerField(choices=[(int(s), NAMES[s]) for s in Station])
    visit = models.PositiveSmallIntegerField(default=1)
    opened_at = models.DateTimeField()
    signed_at = models.DateTimeField(null=True)
    initials = models.CharField(max_length=4, blank=True)
    signed_by = models.ForeignKey("intake.Person", null=True, on_delete=models.PROTECT, related_name="+")
    minutes = models.PositiveIntegerField(null=True)
    note = models.TextField(blank=True)

    class Meta:
        ordering = ["opened_at", "station", "id"]
        constraints = [
            models.UniqueConstraint(
                name="line_one_open_an_order", fields=["order"], condition=Q(signed_at__isnull=True)
            ),
            models.UniqueConstraint(name="line_visit_once", fields=["order", "station", "visit"]),
            models.CheckConstraint(
                name="line_signed_with_initials", condition=Q(signed_at__isnull=True) | ~Q(initials="")
            ),
            models.CheckConstraint(
                name="line_signed_after_opened",
                condition=Q(signed_at__isnull=True) | Q(signed_at__gte=F("opened_at")),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.order_id} {self.station} {self.get_station_display()}"

    @property
    def on_sheet(self) -> bool:
        return self.station in ON_THE_SHEET


class Slip(models.Model):
    """What holds an order up."""

    order = models.ForeignKey(Order, on_delete=models.PROTECT, related_name="slips")
    reason = models.CharField(max_length=16, choices=[(str(r), str(r)) for r in SlipReason])
    note = models.TextField(blank=True)
    started_at = models.DateTimeField()
    started_by = models.CharField(max_length=40)
    due = models.DateField(null=True)
    ended_at = models.DateTimeField(null=True)
    ended_by = models.CharField(max_length=40, blank=True)
    end_note = models.TextField(blank=True)

    class Meta:
        ordering = ["started_at"]
        constraints = [
            models.UniqueConstraint(
                name="slip_one_open_a_reason", fields=["order", "reason"], condition=Q(ended_at__isnull=True)
            ),
            models.CheckConstraint(
                name="slip_ends_after_start",
                condition=Q(ended_at__isnull=True) | Q(ended_at__gte=F("started_at")),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.order_id} {self.reason}"
