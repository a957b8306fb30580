"""The double entry behind invoices and payments: entries that sum to nought, and the days that are closed."""

from django.db import models


class Account(models.TextChoices):
    """Debit is above nought. Revenue and tax stand below it when all is well."""

    BANK = "bank", "Bank"
    CASH = "cash", "Cash in hand"
    CARD = "card", "Card payments under way"
    RECEIVABLE = "receivable", "Owed by customers"
    DEPOSITS = "deposits", "Deposits held"
    HELD = "held", "Held in disputes"
    TAX = "tax", "Tax payable"
    REVENUE = "revenue", "Revenue"
    ROUNDING = "rounding", "Rounding"
    WRITE_OFF = "write_off", "Written off"
    FEES = "fees", "Payment fees"
    LOSSES = "losses", "Losses"


class Entry(models.Model):
    """One event in money, numbered without gaps. Its postings sum to nought; `quotes.ledger.post` is the one door."""

    number = models.PositiveIntegerField(unique=True)
    key = models.CharField(max_length=120, unique=True)
    day = models.DateField(help_text="On the shop's own calendar.")
    at = models.DateTimeField()
    what = models.CharField(max_length=20)
    text = models.CharField(max_length=200)
    document = models.CharField(max_length=40, blank=True)
    order = models.ForeignKey("intake.Order", null=True, on_delete=models.PROTECT, related_name="entries")
    currency = models.CharField(max_length=3)
    by = models.CharField(max_length=40)

    class Meta:
        ordering = ["number"]
        verbose_name_plural = "entries"
        indexes = [models.Index(fields=["day", "number"], name="entries_by_day")]

    def __str__(self) -> str:
        return f"{self.number} {self.what}"


class Posting(models.Model):
    """`kind`: the kind of line for revenue, the category and percent for tax, else empty."""

    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="postings")
    account = models.CharField(max_length=12, choices=Account.choices)
    kind = models.CharField(max_length=20, blank=True)
    amount = models.DecimalField(max_digits=12, decimal_places=3)

    class Meta:
        ordering = ["id"]
        constraints = [models.CheckConstraint(name="posting_not_zero", condition=~models.Q(amount=0))]
        indexes = [models.Index(fields=["account", "kind"], name="postings_by_account")]

    def __str__(self) -> str:
        return f"{self.account} {self.amount}"


class Closing(models.Model):
    """Days up to and including `upto` are closed: no entry may be dated there any more."""

    upto = models.DateField(unique=True)
    last_entry = models.PositiveIntegerField()
    sums = models.JSONField(help_text="Balance of each account at the end of that day, as text.")
    digest = models.CharField(max_length=64, help_text="SHA-256 of the journal up to that day.")
    at = models.DateTimeField()
    by = models.ForeignKey("intake.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["upto"]

    def __str__(self) -> str:
        return f"closed up to {self.upto}"
