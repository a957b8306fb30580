"""The stock table and its moves: what a part is, costs and sells for, and how many lie in the bin."""

from django.db import models
from django.db.models import F, Q


class Part(models.Model):
    """Counters change only through `quotes.stock`, in one transaction with the move that explains them."""

    class Condition(models.TextChoices):
        NEW = "new", "new"
        USED = "used", "used"
        DONOR = "donor", "from a donor board"

    number = models.CharField(max_length=30, unique=True)
    name = models.CharField(max_length=120)
    fits = models.CharField(max_length=200, blank=True)
    bin = models.CharField(max_length=20, blank=True)
    condition = models.CharField(max_length=6, choices=Condition.choices, default=Condition.NEW)
    unit_cost = models.DecimalField(max_digits=12, decimal_places=4, default=0)
    list_price = models.DecimalField(max_digits=12, decimal_places=3, null=True, blank=True)
    minimum_price = models.DecimalField(
        max_digits=12, decimal_places=3, null=True, blank=True, help_text="No rule goes below it."
    )
    tax_kind = models.CharField(max_length=12, blank=True, help_text="Empty: taxed as a part.")
    special = models.BooleanField(default=False, help_text="Ordered for one job; a deposit may be asked.")
    on_hand = models.IntegerField(default=0)
    reserved = models.IntegerField(default=0)
    reorder_at = models.PositiveIntegerField(default=0)
    active = models.BooleanField(default=True)

    class Meta:
        ordering = ["number"]
        constraints = [
            models.CheckConstraint(name="part_on_hand_not_negative", condition=Q(on_hand__gte=0)),
            models.CheckConstraint(
                name="part_reserved_within_hand", condition=Q(reserved__gte=0) & Q(reserved__lte=F("on_hand"))
            ),
            models.CheckConstraint(name="part_cost_not_negative", condition=Q(unit_cost__gte=0)),
            models.CheckConstraint(
                name="part_minimum_not_negative",
                condition=Q(minimum_price__isnull=True) | Q(minimum_price__gte=0),
            ),
            models.CheckConstraint(
                name="part_price_not_negative", condition=Q(list_price__isnull=True) | Q(list_price__gte=0)
            ),
        ]

    def __str__(self) -> str:
        return f"{self.number} {self.name}"

    @property
    def free(self) -> int:
        return self.on_hand - self.reserved


class Lot(models.Model):
    """Parts that came in together. Its number is on the bag of parts, so that a bad lot is found again."""

    number = models.CharField(max_length=20, unique=True)
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="lots")
    supplier = models.CharField(max_length=80, blank=True)
    marks = models.CharField(max_length=80, blank=True, help_text="The supplier's own lot or date code.")
    came_at = models.DateTimeField()
    stopped_at = models.DateTimeField(null=True, help_text="No more of it is fitted.")
    stopped_why = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["came_at", "id"]
        constraints = [
            models.CheckConstraint(
                name="lot_stopped_says_why", condition=Q(stopped_at__isnull=True) | ~Q(stopped_why="")
            )
        ]

    def __str__(self) -> str:
        return self.number


class Move(models.Model):
    """One entry of the stock ledger; never edited, a mistake is put right by another move."""

    class Kind(models.TextChoices):
        RECEIVE = "receive", "Received"
        RESERVE = "reserve", "Put aside"
        RELEASE = "release", "Put back"
        CONSUME = "consume", "Fitted"
        SPOIL = "spoil", "Spoiled"
        COUNT = "count", "Counted"

    key = models.CharField(max_length=120, unique=True)
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="moves")
    kind = models.CharField(max_length=8, choices=Kind.choices)
    on_hand_change = models.IntegerField(default=0)
    reserved_change = models.IntegerField(default=0)
    unit_cost = models.DecimalField(max_digits=12, decimal_places=4)
    order = models.ForeignKey("intake.Order", null=True, on_delete=models.PROTECT, related_name="moves")
    lot = models.ForeignKey(Lot, null=True, on_delete=models.PROTECT, related_name="moves")
    at = models.DateTimeField()
    who = models.CharField(max_length=40)
    why = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["at", "id"]
        indexes = [
            models.Index(fields=["part", "at"], name="moves_of_part"),
            models.Index(fields=["order", "kind"], name="moves_of_order"),
            models.Index(fields=["at"], name="moves_counted", condition=models.Q(kind="count")),
            # Holds all that a sum of what was fitted in half a year asks for.
            models.Index(
                fields=["at", "part", "on_hand_change"],
                name="moves_fitted",
                condition=models.Q(kind="consume"),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.part_id} {self.on_hand_change:+d}"
