"""What the made orders are about: devices, faults and remedies of the invented world. Pure."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Job:
    """One kind of work. `idea` is what the customer thinks, `idea_answer` what the finding says of it; minutes at the bench."""

    kind: str
    make: str
    model: str
    symptom: str
    idea: str
    idea_answer: str
    fault: str
    remedy: str
    parts: tuple[str, ...]
    words: str
    declared: int
    look: int = 20
    repair: int = 40
    test: int = 14


SOCKET = Job(
    "phone", "Zarnik", "Z7", "Does not charge", "Charging port", "right", "connector damage", "Replace charging socket",
    ("SOCK-C7",), "The charging socket is worn through.", 240, 12, 38, 14,
)  # fmt: skip
CAPACITOR = Job(
    "phone", "Oblivu", "One", "Does not start", "Battery", "not", "shorted capacitor", "Replace shorted capacitor",
    ("CAP-10U",), "One small part shorts the main power line.", 310, 24, 30, 12,
)  # fmt: skip
FILTER = Job(
    "phone", "Plenthor", "Note 5", "No picture", "Screen", "not", "burnt filter", "Replace burnt filter", ("FILT-3",),
    "A filter in the display's supply is burnt. The screen is good.", 180, 18, 26, 13,
)  # fmt: skip
TOUCH = Job(
    "tablet", "Zarnik", "Slate 9", "Picture but no touch", "Screen", "partly", "driver chip",
    "Replace display driver chip", ("DRV-L4",), "The driver behind the screen has died.", 350, 26, 52, 18,
)  # fmt: skip
POWER = Job(
    "phone", "Quibbet", "Phone 3", "Turns itself off", "", "none", "power chip", "Replace power chip", ("PWR-M1",),
    "The power chip drops out when warm.", 200, 31, 74, 20,
)  # fmt: skip
WATER = Job(
    "laptop", "Oblivu", "Folio 13", "Does not charge", "I need a new board", "partly", "liquid corrosion",
    "Clean and rework corroded charge circuit", (), "Tea reached the charge circuit. The rest is clean.", 900, 44, 130, 35,
)  # fmt: skip
ANTENNA = Job(
    "phone", "Zarnik", "Z7", "No signal", "The antenna", "right", "cracked joint", "Rework antenna switch joint",
    ("ANT-J1",), "The fall cracked a joint at the antenna switch.", 260, 22, 36, 15,
)  # fmt: skip
PAD = Job(
    "phone", "Zarnik", "Z7", "Nobody hears me", "The microphone", "not", "torn pad", "Fit jumper wire", ("WIRE-002",),
    "The microphone is good. Its supply line is broken.", 240, 19, 44, 15,
)  # fmt: skip
SLATE = Job(
    "tablet", "Quibbet", "Tab Mini", "Does not charge", "Bad charging chip", "right", "charge chip", "Fit jumper wire",
    ("WIRE-002", "CAP-10U"), "The line behind the charge chip is open.", 160, 28, 48, 16,
)  # fmt: skip
REFLOW = Job(
    "phone", "Oblivu", "One", "Turns itself off", "Software", "not", "cracked joint", "Reflow processor joints",
    ("SOLD-B",), "Joints under the processor are cracked.", 420, 40, 96, 25,
)  # fmt: skip
ORDERED = Job(
    "laptop", "Oblivu", "Folio 13", "Does not charge", "The charger", "not", "charge chip", "Replace power chip",
    ("CHG-S2",), "The charge chip is dead. It is ordered for this one board.", 800, 33, 61, 24,
)  # fmt: skip
JOBS = (SOCKET, CAPACITOR, FILTER, TOUCH, POWER, WATER, ANTENNA, PAD, SLATE, REFLOW)
