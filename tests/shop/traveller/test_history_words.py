"""The history in plain words."""

import pytest

from intake.stations import NAMES
from shop.traveller.history_words import STATION_NAMES, entry_words


def test_names_are_those_of_the_stations() -> None:
    assert {int(station): name for station, name in NAMES.items()} == STATION_NAMES


@pytest.mark.parametrize(
    ("what", "facts", "words"),
    [
        (
            "moved",
            {"to": 30, "why": "the parcel was taken in"},
            "Moved on to Diagnosis: the parcel was taken in",
        ),
        ("moved", {"to": "junk"}, "Moved on to the next station"),
        ("held", {"reason": "for a part"}, "Held: for a part"),
        ("something new", {}, "Something new"),
    ],
)
def test_entry_is_said_in_words(what: str, facts: dict[str, object], words: str) -> None:
    assert entry_words(what, facts) == words
