"""The list of digests that goes with copied data, in the format that sha256sum writes and `sha256sum -c` reads. Pure.

One line a file: 64 hex digits, two spaces (or a space and a star for "binary"), the name. A name with a line break, a
carriage return or a backslash is escaped and its line begins with a backslash. Source: GNU coreutils manual, 6.6
"sha2 utilities" and 6.4 "md5sum invocation", which give the format and the escaping.
"""

import re
from dataclasses import dataclass

MOST_FILES = 100_000
_LINE = re.compile(r"(\\?)([0-9A-Fa-f]{64}) [ *](.+)", re.DOTALL)
_ESCAPES = {"\\\\": "\\", "\\n": "\n", "\\r": "\r"}


class DigestListError(ValueError):
    """The list cannot be used; the text is a sentence for a person."""


@dataclass(frozen=True)
class DigestLine:
    """SHA-256 in lower-case hex, and the name as the file system has it, with forward slashes."""

    digest: str
    name: str


def line_of(digest: str, name: str) -> str:
    """One line of the list without its line break."""
    escaped = name.replace("\\", "\\\\").replace("\n", "\\n").replace("\r", "\\r")
    mark = "\\" if escaped != name else ""
    # A plain "-" would mean the standard input to the tool that checks.
    return f"{mark}{digest}  {'./-' if name == '-' else escaped}"


def read_list(text: str) -> list[DigestLine]:
    """The lines of a pasted or uploaded list. Raises DigestListError naming the first line that does not fit."""
    lines = text.removeprefix("\ufeff").replace("\r\n", "\n").strip("\n").split("\n")
    if not text.strip():
        raise DigestListError("The list is empty. Paste it, or choose its file.")
    if len(lines) > MOST_FILES:
        raise DigestListError(f"The list has more than {MOST_FILES:,} lines. Pack the files first.")
    found = [_read(number, line) for number, line in enumerate(lines, start=1)]
    seen: set[str] = set()
    for number, line in enumerate(found, start=1):
        if line.name in seen:
            raise DigestListError(f"Line {number} names a file a second time.")
        seen.add(line.name)
    return found


def as_text(lines: list[DigestLine]) -> str:
    """The list as it is kept and handed out: two spaces, Unix line ends, a line break at the end."""
    return "".join(f"{line_of(line.digest, line.name)}\n" for line in lines)


def _read(number: int, line: str) -> DigestLine:
    shape = _LINE.fullmatch(line)
    if shape is None:
        raise DigestListError(f"Line {number} is not 64 hex digits, two spaces and a name.")
    escaped, digest, name = shape.groups()
    if escaped:
        if re.sub(r"\\[\\nr]", "", name).count("\\"):
            raise DigestListError(f"The name in line {number} has a backslash that stands for nothing.")
        name = re.sub(r"\\[\\nr]", lambda found: _ESCAPES[found[0]], name)
    _may_be_named(number, name)
    return DigestLine(digest.lower(), name)


def _may_be_named(number: int, name: str) -> None:
    if name.startswith("/"):
        raise DigestListError(f"Line {number} begins at the root of a disk. Make the list inside the folder.")
    if ".." in name.split("/"):
        raise DigestListError(f"Line {number} leads out of its folder by '..'.")
    if "\x00" in name or "\x0b" in name or "\x0c" in name:
        raise DigestListError(f"The name in line {number} has a sign that no file should have.")
