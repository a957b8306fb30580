"""Reads the locks: which packages at which version, and the digests that pip demands of their files."""

import re
from dataclasses import dataclass
from pathlib import Path

from packaging.markers import Marker
from packaging.utils import canonicalize_name

PIN = re.compile(
    r"(?P<name>[A-Za-z0-9._-]{1,100})(?:\[[^\]]{0,200}\])?==(?P<version>[^\s;\\]+)\s*(?:;\s*(?P<marker>[^\\]+))?"
)
DIGEST = re.compile(r"--hash=sha256:([0-9a-f]{64})\b")


class BadLock(ValueError):
    """A lock that pip would not take as it stands; the text is the sentence to print."""


@dataclass(frozen=True)
class Locked:
    """One pinned package: its normal name, version, the condition it is for ("" always), SHA-256 of its files."""

    name: str
    version: str
    marker: str
    digests: tuple[str, ...]

    def is_for_this_machine(self) -> bool:
        """Whether pip would install it here: a lock holds lines for other systems and Pythons too."""
        return not self.marker or Marker(self.marker).evaluate()


def read_lock(lock: Path) -> list[Locked]:
    """Every line of a lock. Raises BadLock for one without a version or a digest, and for an empty or unreadable file."""
    try:
        text = lock.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as fault:
        raise BadLock(f"{lock} cannot be read: {fault}.") from fault
    entries = [entry for entry in re.split(r"(?m)^(?=[A-Za-z0-9])", text) if re.match(r"[A-Za-z0-9]", entry)]
    if not entries:
        raise BadLock(f"{lock} names no package.")
    return [_locked(entry, lock) for entry in entries]


def _locked(entry: str, lock: Path) -> Locked:
    pin, digests = PIN.match(entry), tuple(DIGEST.findall(entry))
    if not pin or not digests:
        raise BadLock(f"{lock}: {entry.split()[0]} has no fixed version or no digest; make lock writes both.")
    name = str(canonicalize_name(pin["name"]))
    return Locked(name, pin["version"], (pin["marker"] or "").strip(), digests)
