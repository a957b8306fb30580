"""How staff come in: the second factor, codes for the day it is lost, known browsers, and every try at the door."""

from django.db import models


class SecondFactor(models.Model):
    """A person's generator of one-time codes (RFC 6238). Its secret is sealed under the keys that seal unlock codes.

    `last_step` is the newest time step that was let in: a code works once.
    """

    person = models.OneToOneField(
        "intake.Person", primary_key=True, on_delete=models.PROTECT, related_name="second_factor"
    )
    key_name = models.CharField(max_length=20)
    sealed = models.BinaryField()
    made_at = models.DateTimeField()
    confirmed_at = models.DateTimeField(null=True)
    last_step = models.BigIntegerField(null=True)

    def __str__(self) -> str:
        return f"second factor of {self.person_id}"


class RecoveryCode(models.Model):
    """One of the codes on a person's printed list. Only a digest by the password hasher is kept; it works once."""

    person = models.ForeignKey("intake.Person", on_delete=models.PROTECT, related_name="recovery_codes")
    digest = models.CharField(max_length=200)
    made_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"recovery code {self.pk} of {self.person_id}"


class KnownBrowser(models.Model):
    """A browser somebody came in with before, known by a cookie: strangers who try their name do not lock it out."""

    person = models.ForeignKey("intake.Person", on_delete=models.PROTECT, related_name="known_browsers")
    digest = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField()
    last_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["-last_at", "-id"]

    def __str__(self) -> str:
        return f"browser {self.pk} of {self.person_id}"


class SignInTry(models.Model):
    """One knock at the door. The typed name and the sender's address are kept as keyed digests only."""

    class Result(models.TextChoices):
        IN = "in", "Came in"
        WRONG = "wrong", "Wrong name or password"
        CODE_WRONG = "code", "Wrong one-time code"
        RECOVERY = "recovery", "Came in with a recovery code"
        LOCKED = "locked", "Too many tries"
        OUT = "out", "Signed out"

    person = models.ForeignKey(
        "intake.Person", null=True, on_delete=models.PROTECT, related_name="sign_in_tries"
    )
    name_digest = models.CharField(max_length=64)
    sender = models.CharField(max_length=64)
    browser = models.ForeignKey(KnownBrowser, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
    result = models.CharField(max_length=8, choices=Result.choices)

    class Meta:
        ordering = ["-id"]
        verbose_name_plural = "sign-in tries"
        indexes = [
            models.Index(fields=["name_digest", "at"], name="tries_by_name"),
            models.Index(fields=["sender", "at"], name="tries_by_sender"),
            models.Index(fields=["at"], name="tries_by_time"),
        ]

    def __str__(self) -> str:
        return f"{self.result} {self.at:%Y-%m-%d %H:%M}"
