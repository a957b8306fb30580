"""What changed between two versions of a test list, in sentences. Pure."""

from typing import Any

Shape = tuple[list[dict[str, Any]], int, bool]
"""Rows, minutes it must run at the end, whether a second pair of eyes is asked for."""

_NAMES = {
    "must": "must pass",
    "unlocked": "needs the code",
    "mode": "measured in",
    "polarity": "polarity",
    "low": "at least",
    "high": "at most",
    "soak": "soak minutes",
}


def changes_between(before: Shape, now: Shape) -> list[str]:
    """One sentence for each row that came, went, moved or says something else; then the list's own settings."""
    old = {row["text"]: row for row in before[0]}
    new = {row["text"]: row for row in now[0]}
    said = [f"New: {text}." for text in new if text not in old]
    said += [f"Taken away: {text}." for text in old if text not in new]
    for text, row in new.items():
        said += _row_changes(text, old[text], row) if text in old else []
    kept_before = [text for text in old if text in new]
    if kept_before != [text for text in new if text in old]:
        said.append("The order of the rows.")
    if before[1] != now[1]:
        said.append(f"Left on at the end: {now[1]} minutes, before {before[1]}.")
    if before[2] != now[2]:
        said.append(f"Second pair of eyes: {'on' if now[2] else 'off'}.")
    return said


def _row_changes(text: str, before: dict[str, Any], now: dict[str, Any]) -> list[str]:
    return [
        f"{text}: {name} {_word(now.get(key))}, before {_word(before.get(key))}."
        for key, name in _NAMES.items()
        if (now.get(key) or None) != (before.get(key) or None)
    ]


def _word(value: object) -> str:
    if value is True:
        return "yes"
    return str(value) if value else "no" if value is False else "nothing"
