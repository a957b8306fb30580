"""Money as others report it: bank statements with the person's match, and what card providers send."""

from django.db import models


class BankStatement(models.Model):
    """One imported file. The digest makes the same file count once."""

    digest = models.CharField(max_length=64, unique=True)
    form = models.CharField(max_length=8, help_text="camt.053 or csv")
    file_name = models.CharField(max_length=120)
    account = models.CharField(max_length=40, blank=True)
    ident = models.CharField(max_length=80, blank=True)
    currency = models.CharField(max_length=3)
    opening = models.DecimalField(max_digits=14, decimal_places=3, null=True)
    closing = models.DecimalField(max_digits=14, decimal_places=3, null=True)
    at = models.DateTimeField()
    by = models.ForeignKey("intake.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-at", "-id"]

    def __str__(self) -> str:
        return self.file_name


class BankLine(models.Model):
    """One movement on the account. `key` is made of what the bank says, so that overlapping files count once."""

    statement = models.ForeignKey(BankStatement, on_delete=models.PROTECT, related_name="lines")
    key = models.CharField(max_length=64, unique=True)
    day = models.DateField()
    amount = models.DecimalField(max_digits=14, decimal_places=3)
    name = models.CharField(max_length=140, blank=True)
    reference = models.CharField(max_length=40, blank=True, help_text="ISO 11649, where the payer gave one.")
    text = models.CharField(max_length=300, blank=True)
    bank_ref = models.CharField(max_length=80, blank=True)

    class Meta:
        ordering = ["day", "id"]

    def __str__(self) -> str:
        return f"{self.day} {self.amount}"


class BankMatch(models.Model):
    """What a person made of a line: the payment it became, or the reason why it is none of ours. Once."""

    line = models.OneToOneField(BankLine, primary_key=True, on_delete=models.PROTECT, related_name="match")
    payment = models.ForeignKey(
        "quotes.Payment", null=True, on_delete=models.PROTECT, related_name="bank_lines"
    )
    why = models.CharField(max_length=200)
    at = models.DateTimeField()
    by = models.ForeignKey("intake.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        verbose_name_plural = "bank matches"

    def __str__(self) -> str:
        return self.why


class CardCheckout(models.Model):
    """One try of a customer to pay by card, with the provider's own name for it."""

    provider = models.CharField(max_length=20)
    ident = models.CharField(max_length=120)
    order = models.ForeignKey("intake.Order", on_delete=models.PROTECT, related_name="card_checkouts")
    purpose = models.CharField(max_length=8, default="bill")
    amount = models.DecimalField(max_digits=12, decimal_places=3)
    currency = models.CharField(max_length=3)
    at = models.DateTimeField()

    class Meta:
        constraints = [models.UniqueConstraint(name="card_checkout_once", fields=["provider", "ident"])]

    def __str__(self) -> str:
        return f"{self.provider} {self.ident}"


class CardEvent(models.Model):
    """What a provider reported, once by its own name; what came of it stands beside it."""

    provider = models.CharField(max_length=20)
    ident = models.CharField(max_length=120)
    kind = models.CharField(max_length=20)
    checkout = models.ForeignKey(CardCheckout, null=True, on_delete=models.PROTECT, related_name="events")
    payload = models.JSONField(default=dict)
    outcome = models.CharField(max_length=200, blank=True)
    at = models.DateTimeField()

    class Meta:
        ordering = ["at", "id"]
        constraints = [models.UniqueConstraint(name="card_event_once", fields=["provider", "ident"])]

    def __str__(self) -> str:
        return f"{self.provider} {self.kind}"
