"""Words of the house and of this shop that make a poor password: anybody who knows the shop tries them first.

The list is the one ASVS 5.0, 6.1.2 asks to be written down.
"""

import re

from django.core.exceptions import ValidationError

from intake.models import Letterhead
from intake.stations import Station

HOUSE_WORDS = (
    "benchpost", "bench", "repair", "repairs", "solder", "phone", "tablet", "laptop", "board", "microscope", "parcel",
    "owner", "technician", "customer", "admin", "password", "passwort", "welcome", "letmein", "signin", "login",
)  # fmt: skip
FEWEST_LETTERS = 6
_SHORT = 4


def words_of_the_shop() -> set[str]:
    """The house's words, the stations, and what the letterhead says of name, town and street."""
    found = {*HOUSE_WORDS, *(station.name for station in Station)}
    letterhead = Letterhead.objects.order_by("-pk").first()
    if letterhead is not None:
        said = f"{letterhead.name} {letterhead.city} {letterhead.street}".casefold()
        found.update(word for word in re.split(r"[^\w]+", said) if len(word) >= _SHORT)
    return {re.sub(r"[\W\d_]", "", word.casefold()) for word in found}


class OwnWordsValidator:
    """Refuses a password of which fewer than six letters or other signs stay once those words and the digits are out."""

    def validate(self, password: str, user: object = None) -> None:
        left = password.casefold()
        for word in sorted(words_of_the_shop(), key=len, reverse=True):
            left = left.replace(word, "")
        if len(re.sub(r"[\d\s_.,!?@#$%&*+=-]", "", left)) < FEWEST_LETTERS:
            raise ValidationError(
                "This is little more than words of this shop and digits, which strangers try first. "
                "Add words that have nothing to do with it.",
                code="own_words",
            )

    def get_help_text(self) -> str:
        return "Do not build it from the name of the shop or words of the trade alone."
