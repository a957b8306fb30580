"""The quote as it was sent, and how it ended. Rows here are never changed: triggers refuse it."""

from django.db import models
from django.db.models import Q


class QuoteDraft(models.Model):
    """What the technician is putting together; becomes a `Quote` when it is sent (`quotes.offers.send`)."""

    order = models.OneToOneField("intake.Order", on_delete=models.PROTECT, related_name="quote_draft")
    lines = models.JSONField(default=list)
    words = models.TextField(blank=True)
    choices = models.JSONField(
        default=dict, blank=True, help_text="Further choices offered, by name, with their words."
    )
    deposit = models.DecimalField(max_digits=12, decimal_places=3, null=True, blank=True)
    deposit_words = models.CharField(max_length=200, blank=True)
    promise = models.DateField(null=True)
    form_key = models.CharField(max_length=64, unique=True)
    version = models.PositiveIntegerField(default=1)
    changed_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"draft for {self.order_id}"


class Quote(models.Model):
    """One revision, frozen at sending. `shown` is exactly what the customer sees; `digest` is its SHA-256."""

    order = models.ForeignKey("intake.Order", on_delete=models.PROTECT, related_name="quotes")
    revision = models.PositiveSmallIntegerField()
    form_key = models.CharField(max_length=64, unique=True)
    finding = models.ForeignKey("quotes.Finding", on_delete=models.PROTECT, related_name="+")
    letterhead = models.ForeignKey("intake.Letterhead", on_delete=models.PROTECT, related_name="+")
    rates = models.ForeignKey("quotes.Rates", on_delete=models.PROTECT, related_name="+")
    currency = models.CharField(max_length=3)
    net = models.DecimalField(max_digits=12, decimal_places=3)
    tax = models.DecimalField(max_digits=12, decimal_places=3)
    total = models.DecimalField(max_digits=12, decimal_places=3)
    back_total = models.DecimalField(max_digits=12, decimal_places=3)
    recycle_total = models.DecimalField(max_digits=12, decimal_places=3, default=0)
    no_fix_total = models.DecimalField(max_digits=12, decimal_places=3)
    deposit = models.DecimalField(max_digits=12, decimal_places=3, default=0)
    shop_cost = models.DecimalField(max_digits=12, decimal_places=3)
    warranty_days = models.PositiveSmallIntegerField()
    promise = models.DateField(null=True)
    valid_until = models.DateTimeField()
    sent_at = models.DateTimeField()
    sent_by = models.ForeignKey("intake.Person", on_delete=models.PROTECT, related_name="+")
    shown = models.JSONField()
    digest = models.CharField(max_length=64)

    class Meta:
        ordering = ["order_id", "revision"]
        constraints = [
            models.UniqueConstraint(name="quote_revision_once", fields=["order", "revision"]),
            models.CheckConstraint(
                name="quote_money_not_negative",
                condition=Q(net__gte=0, tax__gte=0, total__gte=0, back_total__gte=0, no_fix_total__gte=0),
            ),
        ]

    def __str__(self) -> str:
        return f"quote {self.revision} for {self.order_id}"


class QuoteChoice(models.Model):
    """One of the alternatives on a quote as it was offered: its sums, its day, its warranty, its words."""

    quote = models.ForeignKey(Quote, on_delete=models.PROTECT, related_name="choices")
    choice = models.CharField(max_length=8)
    label = models.CharField(max_length=80)
    net = models.DecimalField(max_digits=12, decimal_places=3)
    tax = models.DecimalField(max_digits=12, decimal_places=3)
    total = models.DecimalField(max_digits=12, decimal_places=3)
    no_fix_total = models.DecimalField(max_digits=12, decimal_places=3, default=0)
    promise = models.DateField(null=True)
    warranty_days = models.PositiveSmallIntegerField(default=0)
    chance = models.CharField(max_length=200, blank=True)
    data_words = models.CharField(max_length=300, blank=True)
    fails_words = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["id"]
        constraints = [models.UniqueConstraint(name="quote_choice_once", fields=["quote", "choice"])]

    def __str__(self) -> str:
        return self.label


class QuoteLine(models.Model):
    """A line of one choice. `extra` names the optional extra it belongs to; empty: always in the choice."""

    quote = models.ForeignKey(Quote, on_delete=models.PROTECT, related_name="lines")
    number = models.PositiveSmallIntegerField()
    choice = models.CharField(max_length=8, default="mend")
    extra = models.CharField(max_length=8, blank=True)
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
    still_charged = models.BooleanField(default=False)
    unit_cost = models.DecimalField(max_digits=12, decimal_places=4)
    minutes = models.PositiveIntegerField(default=0)
    part = models.ForeignKey("quotes.Part", null=True, on_delete=models.PROTECT, related_name="+")
    remedy = models.ForeignKey("quotes.Remedy", null=True, on_delete=models.PROTECT, related_name="+")
    condition = models.CharField(max_length=20, blank=True)
    why = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(name="quote_line_once", fields=["quote", "number"]),
            models.CheckConstraint(name="quote_line_quantity_positive", condition=Q(quantity__gt=0)),
        ]

    def __str__(self) -> str:
        return self.text


class QuoteEnd(models.Model):
    """A quote ends once: the primary key is the quote itself, so that decision, lapse and revision race fairly."""

    class Why(models.TextChoices):
        DECIDED = "decided", "Decided"
        LAPSED = "lapsed", "Lapsed"
        SUPERSEDED = "superseded", "Replaced by a newer one"
        WITHDRAWN = "withdrawn", "Withdrawn"

    quote = models.OneToOneField(Quote, primary_key=True, on_delete=models.PROTECT, related_name="end")
    why = models.CharField(max_length=10, choices=Why.choices)
    at = models.DateTimeField()

    def __str__(self) -> str:
        return f"{self.quote_id} {self.why}"


class Decision(models.Model):
    """One decision for one quote: the digest of exactly what was shown, who, when, from where."""

    class Choice(models.TextChoices):
        MEND = "mend", "Mend it"
        DATA = "data", "Save the data only"
        CLEAN = "clean", "Clean it, without a promise"
        BACK = "back", "Send it back as it is"
        RECYCLE = "recycle", "Recycle it"
        FIRST = "first", "Finish only the first job"

    class Channel(models.TextChoices):
        LINK = "link", "By the customer, on the link"
        LIMIT = "limit", "By the standing limit"
        PHONE = "phone", "By phone, noted by staff"
        PERSON = "person", "In person, noted by staff"

    quote = models.OneToOneField(Quote, on_delete=models.PROTECT, related_name="decision")
    choice = models.CharField(max_length=8, choices=Choice.choices)
    channel = models.CharField(max_length=6, choices=Channel.choices)
    digest = models.CharField(max_length=64)
    amount = models.DecimalField(max_digits=12, decimal_places=3)
    currency = models.CharField(max_length=3)
    typed_name = models.CharField(max_length=120)
    button = models.CharField(max_length=120)
    consents = models.JSONField(default=list)
    consent_texts = models.JSONField(
        default=list, help_text="What was ticked, word for word, with the version of the terms."
    )
    extras = models.JSONField(default=list, help_text="Names of the optional extras that were taken.")
    called_number = models.CharField(max_length=40, blank=True)
    spoken_at = models.DateTimeField(null=True)
    conditions = models.CharField(max_length=300, blank=True)
    link = models.ForeignKey("intake.CustomerLink", null=True, on_delete=models.PROTECT, related_name="+")
    noted_by = models.ForeignKey("intake.Person", null=True, on_delete=models.PROTECT, related_name="+")
    from_address = models.CharField(max_length=64, blank=True)
    agent = models.CharField(max_length=200, blank=True)
    at = models.DateTimeField()

    class Meta:
        constraints = [
            models.CheckConstraint(name="decision_is_somebodys", condition=~Q(typed_name="")),
            models.CheckConstraint(
                name="decision_noted_by_staff",
                condition=Q(channel__in=["link", "limit"], noted_by__isnull=True)
                | Q(channel__in=["phone", "person"], noted_by__isnull=False),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.choice} {self.quote_id}"


class DecisionStop(models.Model):
    """The customer stopped, before work began, what the standing limit had started."""

    decision = models.OneToOneField(Decision, primary_key=True, on_delete=models.PROTECT, related_name="stop")
    at = models.DateTimeField()
    who = models.CharField(max_length=40)

    def __str__(self) -> str:
        return f"stop of {self.decision_id}"
