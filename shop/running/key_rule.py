"""The key to the figures: long enough or none at all."""

from django.core.exceptions import ImproperlyConfigured

LEAST = 32


def metrics_key(value: str) -> str:
    """The key as given; empty keeps the address shut. Raises ImproperlyConfigured."""
    if value and (len(value) < LEAST or len(set(value)) < 5):
        raise ImproperlyConfigured(
            f"METRICS_KEY is too weak; write at least {LEAST} random characters, or leave it empty."
        )
    return value
