"""Who works here, and who sends devices in."""

from collections.abc import Iterator

from django.contrib.auth.models import AbstractUser
from django.db import models


class Person(AbstractUser):
    """A member of staff. A technician sees no margins; the owner sees everything."""

    class Role(models.TextChoices):
        OWNER = "owner", "Owner"
        TECHNICIAN = "technician", "Technician"

    role = models.CharField(max_length=12, choices=Role.choices, default=Role.TECHNICIAN)
    initials = models.CharField(max_length=4)
    door_mark = models.CharField(
        max_length=32, blank=True, help_text="Part of what a sign-in is bound to: a new one ends them all."
    )

    class Meta:
        verbose_name_plural = "people"

    def __str__(self) -> str:
        return self.get_full_name() or self.username

    @property
    def is_owner(self) -> bool:
        return self.role == self.Role.OWNER

    def get_session_auth_hash(self) -> str:
        """What a sign-in is bound to: a new password ends it, and so does a new door mark."""
        return self._bound(super().get_session_auth_hash())

    def get_session_auth_fallback_hash(self) -> Iterator[str]:
        for kept in super().get_session_auth_fallback_hash():
            yield self._bound(kept)

    def _bound(self, kept: str) -> str:
        return f"{kept}{self.door_mark}"


class Customer(models.Model):
    """The person a device belongs to: how to reach them. Where it goes back to stands on the order."""

    name = models.CharField(max_length=120)
    email = models.EmailField(max_length=254, blank=True)
    phone = models.CharField(max_length=40, blank=True)
    trade = models.BooleanField(default=False)
    created_at = models.DateTimeField()
    erased_at = models.DateTimeField(null=True)

    class Meta:
        indexes = [models.Index(fields=["email"], name="customer_email")]

    def __str__(self) -> str:
        return self.name


class Address(models.Model):
    """A postal address as it was given; never edited, a change is a new row."""

    name = models.CharField(max_length=120)
    organisation = models.CharField(max_length=120, blank=True)
    street = models.CharField(max_length=240)
    city = models.CharField(max_length=80, blank=True)
    area = models.CharField(max_length=80, blank=True)
    postcode = models.CharField(max_length=20, blank=True)
    country = models.CharField(max_length=2)

    class Meta:
        verbose_name_plural = "addresses"

    def __str__(self) -> str:
        return f"{self.name}, {self.city}"
