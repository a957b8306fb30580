"""Ends a process that cannot begin with one sentence: whoever starts a shop should not have to read a traceback."""

from django.conf import settings
from django.core.exceptions import ImproperlyConfigured


def settings_or_leave() -> None:
    """Reads the settings. Raises SystemExit with status 1 and the sentence when one of them is wrong."""
    try:
        _ = settings.INSTALLED_APPS
    except ImproperlyConfigured as wrong:
        raise SystemExit(f"A setting is wrong: {wrong}") from None
