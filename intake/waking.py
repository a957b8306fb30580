"""The bell that tells the drainer there is a letter. A hint only: the rows are the truth.

The one-machine launcher hangs up a threading event, the larger set-up a Celery wake-up; with neither, the
next sweep finds the letter.
"""

import logging
from collections.abc import Callable

_log = logging.getLogger("benchpost.letters")
_bell: list[Callable[[], object]] = []


def set_waker(ring: Callable[[], object] | None) -> None:
    """Hang up the bell, or take it down with None."""
    _bell.clear()
    if ring is not None:
        _bell.append(ring)


def wake() -> None:
    """Ring; a bell that fails must not fail the change that was just saved."""
    for ring in _bell:
        try:
            ring()
        except Exception:
            _log.warning("The drainer could not be woken; the next sweep will find the letter.")
