"""Asks whether a package in use has a known hole; not being able to ask is a failure, never a clean result.

`python -m shop.setup.audit requirements.txt` asks the network; with ADVISORIES=folder it looks through a dated
copy of the advisory database instead. Ends with 0 (nothing known), 1 (holes) or 2 (could not be audited).
"""

import json
import os
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

from packaging.utils import canonicalize_name

from shop.setup.advisories import OLDEST_DAYS, BadAdvisories, Hole, look_through
from shop.setup.lock import BadLock, Locked, read_lock

ANSWER_SECONDS = 15
WHOLE_SECONDS = 900
CLEAN, HOLES, NOT_AUDITED = 0, 1, 2


class NotAudited(Exception):
    """No answer for every package; the text says why."""


def ask_the_network(lock: Path, packages: list[Locked]) -> list[Hole]:
    """What pip-audit knows of each package. Raises NotAudited unless every one of them was answered for."""
    words = ["--requirement", str(lock), "--disable-pip", "--require-hashes", "--strict", "--format", "json"]
    words += ["--progress-spinner", "off", "--timeout", str(ANSWER_SECONDS)]
    try:
        done = subprocess.run(  # noqa: S603 -- our own interpreter and fixed words
            [sys.executable, "-m", "pip_audit", *words],
            stdin=subprocess.DEVNULL,
            capture_output=True,
            text=True,
            timeout=WHOLE_SECONDS,
        )
    except subprocess.TimeoutExpired as late:
        raise NotAudited(f"no answer within {WHOLE_SECONDS} seconds") from late
    try:
        answers = {
            str(canonicalize_name(each["name"])): each for each in json.loads(done.stdout)["dependencies"]
        }
    except (ValueError, KeyError, TypeError, AttributeError) as fault:
        raise NotAudited(_last_line(done.stderr)) from fault
    silent = [one.name for one in packages if "vulns" not in answers.get(one.name, {})]
    if silent:
        raise NotAudited(f"no answer for {', '.join(silent)}")
    return [
        Hole(one.name, one.version, hole["id"], tuple(hole.get("fix_versions", ())))
        for one in packages
        for hole in answers[one.name]["vulns"]
    ]


def _last_line(said: str) -> str:
    lines = [line for line in said.splitlines() if line.strip()]
    return lines[-1].split(":", 2)[-1].strip()[:300] if lines else "it said nothing"


def look_in_folder(folder: Path, packages: list[Locked], at: datetime) -> list[Hole]:
    """The same from a dated copy, whose age is printed. Raises NotAudited when it is older than 60 days."""
    try:
        found = look_through(folder, packages)
    except BadAdvisories as wrong:
        raise NotAudited(str(wrong).rstrip(".")) from wrong
    days = found.days_old(at)
    print(f"{found.advisories} advisories, the newest changed {found.newest:%Y-%m-%d}, {days} days ago.")
    if days > OLDEST_DAYS and not found.holes:
        raise NotAudited(f"the copy is {days} days old, and {OLDEST_DAYS} is the most; fetch a newer one")
    return list(found.holes)


def main(words: list[str], at: datetime) -> int:
    """`words`: the lock. The exit status, after plain sentences: holes on standard output, a failure on standard error."""
    lock = Path(words[0] if words else "requirements.txt")
    folder = os.environ.get("ADVISORIES", "").strip()
    try:
        packages = [one for one in read_lock(lock) if one.is_for_this_machine()]
        holes = look_in_folder(Path(folder), packages, at) if folder else ask_the_network(lock, packages)
    except (NotAudited, BadLock) as reason:
        print(
            f"{lock} could not be audited, which is no clean result: {str(reason).rstrip('.')}. "
            "Try again with a network, or name a dated copy of the advisories: ADVISORIES=/path/to/folder make audit",
            file=sys.stderr,
        )
        return NOT_AUDITED
    for hole in holes:
        mended = f"mended in {', '.join(hole.mended_in)}" if hole.mended_in else "not mended yet"
        print(f"{hole.package} {hole.version}: {hole.advisory}, {mended}")
    print(f"{len(packages)} packages of {lock} audited, {len(holes) or 'no'} known holes.")
    return HOLES if holes else CLEAN


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:], datetime.now(UTC)))
