"""Writes the bill of materials (CycloneDX, JSON) from the lock: every package with the digests of its files.

`python -m shop.setup.bom requirements.txt .data/bom.json`. The tool reads the lock and knows the format; what is
taken out afterwards is where a package might be fetched, which is the machine's business, and what it repeats.
"""

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

from shop.setup.lock import BadLock, Locked, read_lock

ROOT = Path(__file__).resolve().parent.parent.parent


class NoBill(Exception):
    """No bill, or none that names everything; the text is the sentence to print."""


def bill_of(lock: Path) -> dict[str, Any]:
    """The bill as CycloneDX has it. Raises NoBill, and BadLock for a lock that is none."""
    locked = read_lock(lock)
    words = ["requirements", str(lock), "--pyproject", str(ROOT / "pyproject.toml")]
    words += ["--mc-type", "application", "--output-format", "JSON", "--output-reproducible", "--no-validate"]
    done = subprocess.run(  # noqa: S603 -- our own interpreter and fixed words
        [sys.executable, "-m", "cyclonedx_py", *words],
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
    )
    if done.returncode:
        raise NoBill(
            f"The bill of {lock} could not be made: {(done.stderr.strip() or 'no reason').splitlines()[-1]}"
        )
    bill: dict[str, Any] = json.loads(done.stdout)
    for component in bill["components"]:
        _tidy(component)
    bill["metadata"].pop("tools", None)
    missing = missing_from(bill, locked)
    if missing:
        raise NoBill(f"The bill of {lock} lacks {', '.join(missing)}.")
    return bill


def _tidy(component: dict[str, Any]) -> None:
    component.pop("description", None)
    for reference in component.get("externalReferences", []):
        reference["url"] = component["purl"]
        reference["comment"] = "the files of this version that the lock takes"


def missing_from(bill: dict[str, Any], locked: list[Locked]) -> list[str]:
    """Packages of the lock that the bill does not name at their version with every digest."""
    named: dict[tuple[str, str], set[str]] = {}
    for component in bill["components"]:
        kept = named.setdefault((component["name"].lower(), component["version"]), set())
        for reference in component.get("externalReferences", []):
            kept.update(each["content"] for each in reference.get("hashes", []))
    return [
        f"{one.name} {one.version}"
        for one in locked
        if not set(one.digests) <= named.get((one.name, one.version), set())
    ]


def main(words: list[str]) -> int:
    """`words`: the lock and the file to write. 0, or 1 after one sentence on standard error."""
    lock, place = Path(words[0]), Path(words[1])
    try:
        bill = bill_of(lock)
        place.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        draft = place.with_suffix(".part")
        draft.write_text(json.dumps(bill, indent=2, ensure_ascii=False) + "\n", encoding="utf-8")
        draft.replace(place)
    except (NoBill, BadLock, OSError) as sentence:
        print(sentence, file=sys.stderr)
        return 1
    print(f"{len(bill['components'])} packages with their digests are in {place}.")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
