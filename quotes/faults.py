"""Kinds of fault a bench meets again and again, as proposals beside the field. Common practice, no source."""

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
