"""The shop's identity and its texts, one row a version; every paper keeps the version it used."""

from django.db import models


class Letterhead(models.Model):
    """A change in the settings is a new row: `current()` is the newest, papers point at theirs."""

    version = models.PositiveIntegerField(unique=True)
    since = models.DateTimeField()
    changed_by = models.ForeignKey("intake.Person", null=True, on_delete=models.PROTECT)
    name = models.CharField(max_length=120)
    legal_name = models.CharField(max_length=120, blank=True)
    street = models.CharField(max_length=240)
    city = models.CharField(max_length=80)
    area = models.CharField(max_length=80, blank=True)
    postcode = models.CharField(max_length=20, blank=True)
    country = models.CharField(max_length=2)
    email = models.EmailField()
    phone = models.CharField(max_length=40, blank=True)
    hours = models.CharField(max_length=120, blank=True, help_text="When the phone is answered.")
    tax_number = models.CharField(max_length=40, blank=True)
    bank_account = models.CharField(max_length=60, blank=True, help_text="Where a transfer goes.")
    bank_code = models.CharField(max_length=11, blank=True, help_text="BIC, where a transfer needs one.")
    legal_number = models.CharField(max_length=40, blank=True, help_text="Number in the company register.")
    card_provider = models.CharField(max_length=20, blank=True, help_text="Empty: no card payments by link.")
    zone = models.CharField(max_length=60, default="UTC")
    locale = models.CharField(max_length=20, default="en_GB")
    currency = models.CharField(max_length=3, default="USD")
    paper_size = models.CharField(max_length=6, default="A4", choices=[("A4", "A4"), ("Letter", "Letter")])
    post_profile = models.CharField(max_length=40, default="plain")
    terms = models.TextField(blank=True)
    privacy = models.TextField(blank=True)
    no_fix_words = models.TextField(blank=True)
    diagnosis_words = models.TextField(
        blank=True, help_text="What looking for the fault may cost; the rates write it."
    )
    warranty_words = models.TextField(blank=True)
    storage_words = models.TextField(blank=True)
    withdrawal_words = models.TextField(blank=True)
    symptoms = models.JSONField(default=list, help_text="What a customer can tick, one a line.")
    unsure_letters = models.CharField(
        max_length=6,
        default="resend",
        choices=[
            ("resend", "Send again, with the same Message-ID and a line saying why"),
            ("hold", "Hold for a person"),
        ],
    )

    class Meta:
        ordering = ["version"]

    def __str__(self) -> str:
        return f"{self.name}, version {self.version}"

    @classmethod
    def current(cls) -> "Letterhead":
        """The version in force. Raises Letterhead.DoesNotExist before the shop is set up."""
        return cls.objects.latest("version")
