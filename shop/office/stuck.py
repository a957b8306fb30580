"""Letters that need a person."""

from intake.models import Letter


def stuck_letters() -> int:
    """How many letters are held or could not be sent. One query."""
    return Letter.objects.filter(state__in=[Letter.State.HELD, Letter.State.DEAD]).count()
