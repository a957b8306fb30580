"""What stands beside the finding: orders like this one, and what they point to."""

from typing import Any

from intake.models import Order


def panel(order: Order) -> dict[str, Any]:
    """Nothing is known of other orders yet."""
    return {"suggested": "", "like": []}
