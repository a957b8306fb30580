"""Invoices, credit notes and payments: written once, undone only by a further row."""

from django.db import models
from django.db.models import Q


class NumberSeries(models.Model):
    """The next number of a kind; taken inside the transaction that uses it, so that none is lost."""

    kind = models.CharField(max_length=10, primary_key=True)
    next = models.PositiveIntegerField(default=1)

    def __str__(self) -> str:
        return f"{self.kind} {self.next}"


class Invoice(models.Model):
    """An invoice or a credit note (amounts of a credit note are negative)."""

    class Kind(models.TextChoices):
        INVOICE = "invoice", "Invoice"
        CREDIT = "credit", "Credit note"

    kind = models.CharField(max_length=8, choices=Kind.choices)
    number = models.CharField(max_length=20, unique=True)
    order = models.ForeignKey("intake.Order", on_delete=models.PROTECT, related_name="invoices")
    quote = models.ForeignKey("quotes.Quote", null=True, on_delete=models.PROTECT, related_name="invoices")
    credit_of = models.ForeignKey("self", null=True, on_delete=models.PROTECT, related_name="credits")
    key = models.CharField(max_length=120, unique=True)
    rates = models.ForeignKey("quotes.Rates", null=True, on_delete=models.PROTECT, related_name="+")
    letterhead = models.ForeignKey("intake.Letterhead", on_delete=models.PROTECT, related_name="+")
    to_name = models.CharField(max_length=120)
    to_lines = models.JSONField(default=list)
    to_country = models.CharField(max_length=2, blank=True)
    to_tax_number = models.CharField(max_length=40, blank=True)
    to_email = models.CharField(max_length=254, blank=True)
    to_kind = models.CharField(max_length=12, default="consumer")
    currency = models.CharField(max_length=3)
    net = models.DecimalField(max_digits=12, decimal_places=3)
    tax = models.DecimalField(max_digits=12, decimal_places=3)
    total = models.DecimalField(max_digits=12, decimal_places=3)
    tax_groups = models.JSONField(default=list)
    prepaid = models.DecimalField(
        max_digits=12, decimal_places=3, default=0, help_text="The deposit that was set off."
    )
    rounding = models.DecimalField(max_digits=8, decimal_places=3, default=0)
    why = models.CharField(max_length=200, blank=True)
    reference = models.CharField(max_length=30, blank=True)
    issued_at = models.DateTimeField()
    due = models.DateField()

    class Meta:
        ordering = ["issued_at", "id"]
        indexes = [models.Index(fields=["issued_at"], name="invoices_by_issue")]
        constraints = [
            models.CheckConstraint(
                name="invoice_sign_fits_kind",
                condition=Q(kind="invoice", total__gte=0, credit_of__isnull=True)
                | Q(kind="credit", total__lte=0, credit_of__isnull=False),
            ),
            models.CheckConstraint(name="invoice_prepaid_not_negative", condition=Q(prepaid__gte=0)),
        ]

    def __str__(self) -> str:
        return self.number


class InvoiceLine(models.Model):
    invoice = models.ForeignKey(Invoice, on_delete=models.PROTECT, related_name="lines")
    number = models.PositiveSmallIntegerField()
    kind = models.CharField(max_length=8)
    text = models.CharField(max_length=200)
    quantity = models.DecimalField(max_digits=10, decimal_places=3)
    unit_price = models.DecimalField(max_digits=12, decimal_places=4)
    per = models.DecimalField(max_digits=10, decimal_places=3, default=1)
    allowance = models.DecimalField(max_digits=12, decimal_places=3, default=0)
    charge = models.DecimalField(max_digits=12, decimal_places=3, default=0)
    net = models.DecimalField(max_digits=12, decimal_places=3)
    tax_percent = models.DecimalField(max_digits=6, decimal_places=3)
    tax_category = models.CharField(max_length=2, blank=True)
    tax_reason = models.CharField(max_length=200, blank=True)
    credit_of_line = models.ForeignKey("self", null=True, on_delete=models.PROTECT, related_name="credits")

    class Meta:
        ordering = ["number"]
        constraints = [models.UniqueConstraint(name="invoice_line_once", fields=["invoice", "number"])]

    def __str__(self) -> str:
        return self.text


class BillAddition(models.Model):
    """A line that comes on top of the agreed quote, within the overrun that the shop's profile allows."""

    key = models.CharField(max_length=64, unique=True)
    order = models.ForeignKey("intake.Order", on_delete=models.PROTECT, related_name="bill_additions")
    quote = models.ForeignKey("quotes.Quote", on_delete=models.PROTECT, related_name="+")
    kind = models.CharField(max_length=8)
    text = models.CharField(max_length=200)
    quantity = models.DecimalField(max_digits=10, decimal_places=3, default=1)
    unit_price = models.DecimalField(max_digits=12, decimal_places=4)
    at = models.DateTimeField()
    by = models.ForeignKey("intake.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["at", "id"]

    def __str__(self) -> str:
        return self.text


class Payment(models.Model):
    """Money that came, or went back when the amount is negative. A deposit is the customer's until it is set off.

    What the shop pays beyond what it owes, for its own damage say, is a loss: below nought, and no part of any bill.
    """

    class Purpose(models.TextChoices):
        BILL = "bill", "For the bill"
        DEPOSIT = "deposit", "Deposit"
        LOSS = "loss", "Made good by us"

    class Kind(models.TextChoices):
        TRANSFER = "transfer", "Bank transfer"
        CARD = "card", "Card"
        CASH = "cash", "Cash"

    key = models.CharField(max_length=64, unique=True)
    order = models.ForeignKey("intake.Order", on_delete=models.PROTECT, related_name="payments")
    kind = models.CharField(max_length=8, choices=Kind.choices)
    purpose = models.CharField(max_length=8, choices=Purpose.choices, default=Purpose.BILL)
    amount = models.DecimalField(max_digits=12, decimal_places=3)
    fee = models.DecimalField(max_digits=10, decimal_places=3, default=0)
    rounding = models.DecimalField(
        max_digits=8,
        decimal_places=3,
        default=0,
        help_text="What coins could not pay of the sum that was due; below nought where they paid more.",
    )
    currency = models.CharField(max_length=3)
    note = models.CharField(max_length=200, blank=True)
    at = models.DateTimeField()
    by = models.ForeignKey("intake.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["at", "id"]
        # Holds all that a count of a month's paying orders asks for.
        indexes = [models.Index(fields=["at", "amount", "currency", "order"], name="payments_by_day")]
        constraints = [
            models.CheckConstraint(name="payment_not_zero", condition=~Q(amount=0)),
            models.CheckConstraint(name="payment_fee_not_negative", condition=Q(fee__gte=0)),
        ]

    def __str__(self) -> str:
        return f"{self.amount} {self.currency}"


class WriteOff(models.Model):
    """What the shop gives up of what is owed; the owner says why."""

    key = models.CharField(max_length=64, unique=True)
    order = models.ForeignKey("intake.Order", on_delete=models.PROTECT, related_name="write_offs")
    amount = models.DecimalField(max_digits=12, decimal_places=3)
    currency = models.CharField(max_length=3)
    why = models.CharField(max_length=200)
    at = models.DateTimeField()
    by = models.ForeignKey("intake.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["at", "id"]
        constraints = [models.CheckConstraint(name="write_off_positive", condition=Q(amount__gt=0))]

    def __str__(self) -> str:
        return f"{self.amount} {self.currency}"


class Dispute(models.Model):
    """A payment that the payer's bank took back for now: held apart until it is decided."""

    payment = models.ForeignKey(Payment, on_delete=models.PROTECT, related_name="disputes")
    key = models.CharField(max_length=120, unique=True)
    amount = models.DecimalField(max_digits=12, decimal_places=3)
    fee = models.DecimalField(max_digits=10, decimal_places=3, default=0)
    why = models.CharField(max_length=200)
    answer_by = models.DateField(null=True)
    at = models.DateTimeField()
    by = models.ForeignKey("intake.Person", null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["at", "id"]
        constraints = [models.CheckConstraint(name="dispute_positive", condition=Q(amount__gt=0))]

    def __str__(self) -> str:
        return f"{self.amount} held"


class DisputeEnd(models.Model):
    """How a dispute ended, once."""

    dispute = models.OneToOneField(Dispute, primary_key=True, on_delete=models.PROTECT, related_name="end")
    won = models.BooleanField()
    at = models.DateTimeField()
    by = models.ForeignKey("intake.Person", null=True, on_delete=models.PROTECT, related_name="+")

    def __str__(self) -> str:
        return "won" if self.won else "lost"
