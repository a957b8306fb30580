"""Ways in for people without an account: the customer's link, and a request that is not sent yet."""

from django.db import models


class CustomerLink(models.Model):
    """Only the SHA-256 of the token is kept; the first visit swaps it for a cookie.

    The token is an HMAC of `nonce` under the secret key, so that a later letter can carry the same link while
    the database alone opens nothing.
    """

    nonce = models.CharField(max_length=64, unique=True)
    digest = models.CharField(max_length=64, unique=True)
    order = models.ForeignKey("intake.Order", on_delete=models.PROTECT, related_name="links")
    purpose = models.CharField(max_length=12, default="window")
    created_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True)
    last_used_at = models.DateTimeField(null=True)
    uses = models.PositiveIntegerField(default=0)

    def __str__(self) -> str:
        return f"link {self.pk} to {self.order_id}"


class Draft(models.Model):
    """A request being filled. Kept on the server; the cookie or the resume link holds only its token."""

    digest = models.CharField(max_length=64, unique=True)
    answers = models.JSONField(default=dict)
    started_at = models.DateTimeField()
    changed_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    form_key = models.CharField(max_length=64, unique=True)
    order = models.OneToOneField("intake.Order", null=True, on_delete=models.PROTECT, related_name="draft")
    from_address = models.CharField(
        max_length=64, blank=True, help_text="Salted digest of the sender's address."
    )

    class Meta:
        indexes = [models.Index(fields=["from_address", "started_at"], name="drafts_by_sender")]

    def __str__(self) -> str:
        return f"draft {self.pk}"
