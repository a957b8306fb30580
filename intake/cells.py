"""Lithium batteries: what must not be posted, what a found cell calls for, and the post's rules for used devices.

Facts from published rules, each with its source; no legal advice. The carrier's present rules, local codes and a person
trained for dangerous goods go first, and every text here says so to whoever reads it.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from intake.request_words import GOT_WET

DAMAGED_SOURCE = "49 CFR 173.185(f); IATA special provision A154 (secondary copy)"
SMALL_SOURCE = "49 CFR 173.185(c); ADR special provision 188 (secondary copies)"
PRACTICE = "common practice, no source"
DEFERS = "Your carrier's present rules and local law go first."

# After liquid: common practice, no source.
LEAVE_IT_OFF = (
    "Leave it off. Do not charge it or warm it: after liquid the battery and the board are suspect."
)
WET_LATER = (
    "A wet lithium battery can fail days later: if it gets warm, swells or smells, do not post it, keep away from it "
    f"and tell your fire service, or the carrier once it is posted. {DEFERS}"
)

# What a customer can tick; the keys are kept with the order.
SIGNS: dict[str, str] = {
    "swollen": "It is swollen, or the screen or back is pushed up",
    "hot": "It gets hot with nothing plugged in",
    "leaking": "Something leaks from it",
    "hissing": "It hisses, crackles or smokes",
    "smelling": "It smells sweet or sharp, like solvent",
    "punctured": "It was punctured, crushed or badly bent",
}

_AT_ONCE = {"hot", "hissing"}


@dataclass(frozen=True)
class Verdict:
    """Whether a device with these signs may be posted; `instead` are the sentences that say what to do."""

    may_post: bool
    title: str
    why: str
    instead: tuple[str, ...]
    source: str


def judge_signs(signs: Iterable[str]) -> Verdict:
    """Any sign at all means: do not post. An unknown sign counts as one, since doubt is reason enough."""
    seen = [sign for sign in signs if sign]
    if not seen:
        return Verdict(
            True, "The battery shows no sign of damage", "Nothing was ticked.", (DEFERS,), PRACTICE
        )
    instead = [
        "Do not charge it, switch it on, press it or try to take the battery out.",
        "If you can do it safely, put it outside or on a surface that does not burn, away from anything that does.",
        "Ask your local hazardous-waste point or fire service how to hand it in. Their rules go first.",
        "Tell us what you see. We will say whether the data can still be saved another way.",
    ]
    if _AT_ONCE & set(seen):
        instead.insert(0, "Heat, smoke or hissing is an emergency: leave the room and call the fire service.")
    return Verdict(
        False,
        "Please do not post this device",
        "A battery that is swollen, hot, leaking, hissing, smelling or punctured can catch fire on the way. "
        "No post or carrier takes it as an ordinary parcel.",
        tuple(instead),
        DAMAGED_SOURCE,
    )


def liquid_caution(before: Iterable[str]) -> str:
    """What a customer must know who ticked, of what happened before, that it got wet; "" where nobody said so."""
    return f"{LEAVE_IT_OFF} {WET_LATER}" if GOT_WET in before else ""


@dataclass(frozen=True)
class CellVerdict:
    """What a cell found at goods in calls for. `may` and `must_not` are short sentences for the bench."""

    quarantine: bool
    title: str
    may: tuple[str, ...]
    must_not: tuple[str, ...]
    source: str


_MUST_NOT = (
    "Do not charge it.",
    "Do not press, bend or pierce it.",
    "Do not send it back by ordinary post.",
    "Do not leave it on the bench or near a way out.",
)
_MAY = (
    "Photograph it without touching it.",
    "Put it alone into its own container with filling that does not burn.",
    "Work on the board only once the battery is out and away, and only if you are trained to take it out.",
    "Hand it to a licensed waste point; local rules go first.",
)

# What the bench can note at goods in, and whether it calls for quarantine.
CELL_STATES: dict[str, tuple[str, bool]] = {
    "sound": ("Sound: flat, cool, no smell", False),
    "swollen": ("Swollen", True),
    "hot": ("Hot or hissing", True),
    "leaking": ("Leaking or smelling", True),
    "punctured": ("Punctured or crushed", True),
    "unseen": ("Not seen yet, treat as suspect", True),
    "none": ("No battery in it", False),
}


def judge_cell(state: str) -> CellVerdict:
    """Quarantine or not for a cell as found. Raises ValueError for a state that is not in CELL_STATES."""
    if state not in CELL_STATES:
        raise ValueError(f"no cell state is called {state!r}")
    title, quarantine = CELL_STATES[state]
    if not quarantine:
        return CellVerdict(False, title, (), (), PRACTICE)
    may = (
        ("Leave the room and call the fire service if it smokes, hisses or heats.", *_MAY)
        if state == "hot"
        else _MAY
    )
    return CellVerdict(True, title, may, _MUST_NOT, f"{DAMAGED_SOURCE}; handling: {PRACTICE}")


@dataclass(frozen=True)
class PostProfile:
    """A carrier's rules for used devices with a lithium battery in them. `marks` are printed on the parcel, both ways."""

    id: str
    name: str
    marks: tuple[str, ...]
    modes: tuple[str, ...]
    international: bool
    note: str
    source: str


PROFILES: dict[str, PostProfile] = {
    profile.id: profile
    for profile in (
        PostProfile(
            "plain",
            "No carrier's own rules",
            (),
            ("surface", "air"),
            True,
            f"Only the general limits for small batteries are looked at. {DEFERS}",
            SMALL_SOURCE,
        ),
        PostProfile(
            "usps",
            "United States Postal Service, used devices",
            ("Restricted Electronic Device", "Surface Transportation Only"),
            ("surface",),
            False,
            "Used devices with a lithium battery, those sent for repair among them, go by surface inside the country "
            "only, with both marks. Not to other countries nor to military and diplomatic post offices. Some places "
            f"reached only by air are exempt: ask at the counter. {DEFERS}",
            "87 FR 73459 (30 Nov 2022); USPS Publication 52",
        ),
        PostProfile(
            "uk-2015",
            "United Kingdom mail, text of 2015",
            (),
            ("surface", "air"),
            False,
            "Battery inside the device, strong box, sender's address on the outside, nothing damaged. The text seen is "
            f"of 2015: confirm the present one before you rely on it. {DEFERS}",
            "contract customers' guide of 2015 (secondary copy)",
        ),
    )
}


@dataclass(frozen=True)
class PostVerdict:
    """Whether the parcel may go. `battery_mark`: the lithium battery mark is needed on each package. `marks`: the
    carrier's own texts. `modes`: services allowed. `sentences` say why, `sources` on what."""

    may_go: bool
    battery_mark: bool
    marks: tuple[str, ...]
    modes: tuple[str, ...]
    sentences: tuple[str, ...]
    sources: tuple[str, ...]


def watt_hours(amp_hours: Decimal, volts: Decimal) -> Decimal:
    """Energy in Wh: ampere hours times the nominal voltage. Source: 49 CFR 171.8."""
    return amp_hours * volts


def post_rule(
    *,
    mode: str = "surface",
    wh: Decimal | None = None,
    kind: str = "battery",
    count: int = 1,
    packages: int = 1,
    condition: str = "sound",
    carrier_profile: str = "plain",
    international: bool = False,
) -> PostVerdict:
    """The rule for devices with lithium batteries inside.

    mode 'surface' or 'air'; `wh` of one cell or battery, None where it is not known; kind 'cell' (a pack of one cell is a
    cell), 'battery' or 'none' (a bare board); `count` in each package; `packages` in the consignment; condition 'sound' or
    'damaged', and anything else counts as damaged. An unknown profile is read as 'plain'. Raises ValueError for an unknown
    mode or kind.
    """
    if mode not in ("surface", "air") or kind not in ("cell", "battery", "none"):
        raise ValueError(f"no rule for mode {mode!r} and kind {kind!r}")
    profile = PROFILES.get(carrier_profile, PROFILES["plain"])
    if kind == "none":
        why = f"A board without a battery is no lithium parcel. Our own reading: check it. {DEFERS}"
        return PostVerdict(True, False, (), ("surface", "air"), (why,), (PRACTICE,))
    refusals = _damaged(condition) or _too_large(wh, kind)
    if refusals:
        return PostVerdict(False, False, (), (), (refusals[0], DEFERS), (refusals[1],))
    return _by_profile(profile, mode, wh, _needs_mark(kind, count, packages), international)


def _by_profile(
    profile: PostProfile, mode: str, wh: Decimal | None, mark: bool, international: bool
) -> PostVerdict:
    refused = _profile_refusals(profile, mode, international)
    sentences = [*refused, profile.note]
    if wh is None:
        sentences.append(
            "The size of the battery is not known: read it on the case, and keep to 100 Wh (20 Wh a cell)."
        )
    if mark:
        sentences.append("Every package needs the lithium battery mark (UN3481).")
    return PostVerdict(
        not refused,
        mark,
        () if refused else profile.marks,
        profile.modes,
        tuple(sentences),
        tuple(dict.fromkeys((profile.source, SMALL_SOURCE))),
    )


def _damaged(condition: str) -> tuple[str, str] | None:
    if condition == "sound":
        return None
    return (
        "A damaged or doubtful battery never goes by air, and by road only under the rules for damaged batteries.",
        DAMAGED_SOURCE,
    )


def _too_large(wh: Decimal | None, kind: str) -> tuple[str, str] | None:
    most = Decimal(20) if kind == "cell" else Decimal(100)
    if wh is None or wh <= most:
        return None
    return (
        f"{wh} Wh is over the limit of {most} Wh for a small {kind}: the full rules hold. Ask the carrier.",
        SMALL_SOURCE,
    )


def _needs_mark(kind: str, count: int, packages: int) -> bool:
    """No mark for at most four cells or two batteries a package, in at most two packages: 49 CFR 173.185(c)(3)."""
    return count > (4 if kind == "cell" else 2) or packages > 2


def _profile_refusals(profile: PostProfile, mode: str, international: bool) -> list[str]:
    refused = []
    if international and not profile.international:
        refused.append(
            f"{profile.name}: a used device with a lithium battery is not taken to another country."
        )
    if mode not in profile.modes:
        refused.append(f"{profile.name}: by surface only, not by air.")
    return refused
