"""Kinds of fault to choose from: the shop's own words, and those a bench meets again and again."""

from quotes.list_words import FAULT
from quotes.models import Finding, ListWord, Remedy
from quotes.word_lists import snapshot

# As proposals beside the field. Common practice, no source.
KNOWN_FAULTS = (
    "connector damage",
    "burnt filter or coil",
    "torn pad",
    "shorted capacitor",
    "leaky capacitor or chip",
    "charge or power path chip",
    "power-management chip",
    "backlight or display driver",
    "audio or radio chip",
    "cracked joints under a chip",
    "board layers separated",
    "liquid corrosion",
    "burnt inner layer",
    "damage by an earlier repair",
    "firmware, lock or paired part",
    "not a board fault",
)
LATELY = 60


def known_faults() -> list[str]:
    """The bench's own words first, then the common ones; a double under the word that stays, a retired one not. Four queries."""
    words = snapshot([FAULT])
    rows = list(ListWord.objects.filter(kind=FAULT))
    names = {row.folded: row.name for row in rows}
    gone = {row.folded for row in rows if row.retired}
    told = [
        *Remedy.objects.filter(active=True).exclude(fault_class="").values_list("fault_class", flat=True),
        *Finding.objects.order_by("-id").values_list("fault_class", flat=True)[:LATELY],
        *(row.name for row in rows),
        *KNOWN_FAULTS,
    ]
    found: dict[str, str] = {}
    for text in told:
        key = words.canonical(FAULT, text)
        if key and key not in gone:
            found.setdefault(key, names.get(key, text))
    return list(found.values())
