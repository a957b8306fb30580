"""How the words of the shop's lists are compared: folded spelling, and what was merged into what. Pure."""

import difflib
import re
import unicodedata
from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cached_property

LONGEST = 120
FAMILY, BOARD, REVISION, POINT, FAULT, SYMPTOM = "family", "board", "revision", "point", "fault", "symptom"
# Kind, canonical board, canonical text: rows with equal keys are counted together.
Key = tuple[str, str, str]
ON_A_BOARD = frozenset({REVISION, POINT})
# From here on two spellings are shown as a likely double; below it the proposals are mostly wrong (own trials).
ALIKE = 0.84

_SIGNS = re.compile(r"[\s_.\-\u2010-\u2015]+")
_KEPT = re.compile(r"(?<=\d)[.,](?=\d)|(?:(?<=\s)|^)-(?=\d)")
_MINUS = "\u2212"  # stays a minus wherever it stands, so that folding twice is folding once
_NUMBERS = re.compile(rf"{_MINUS}?\d+(?:\.\d+)?")


def fold(text: str) -> str:
    """The text as it is compared: compatibility forms, case, spaces, hyphens, dots and underscores aside.

    A point between digits and a minus before a number stay, since 1.8 V is not 18 V and -5 V is not 5 V; where a sign
    parted two digits a space stays, since pin 2 of U1 is not U12. A text of signs alone stays. At most LONGEST characters.
    """
    folded = _folded(text)
    # A sign that went may leave an accent alone with the letter before it: until nothing changes.
    while (again := _folded(folded)) != folded and len(again) <= len(folded):
        folded = again
    return folded


def differ(one: str, other: str) -> bool:
    """Whether two that are both named are not the same."""
    return bool(one and other and one != other)


def _folded(text: str) -> str:
    plain = unicodedata.normalize("NFKC", unicodedata.normalize("NFKC", text).casefold()).strip()
    held = _KEPT.sub(lambda found: "\ue000" if found[0] in ".," else "\ue001", plain)
    parted = re.sub(rf"(?<=\d){_SIGNS.pattern}(?=\d)", "\ue002", held)
    bare = _SIGNS.sub("", parted)
    folded = bare.replace("\ue000", ".").replace("\ue001", _MINUS).replace("\ue002", " ")
    return (folded or plain)[:LONGEST].strip()


@dataclass(frozen=True)
class Word:
    """One word of a list. `within`: the number of the board it lies on; `into`: of the word it was merged into."""

    pk: int
    kind: str
    folded: str
    within: int | None = None
    into: int | None = None


class Words:
    """The lists at one moment, to compare many texts without asking again."""

    def __init__(self, words: Iterable[Word]) -> None:
        self.by_pk = {word.pk: word for word in words}
        self._keys: dict[tuple[str, str, str], Key] = {}

    @classmethod
    def of_rows(cls, rows: Iterable[tuple[int, str, str, int | None, int | None]]) -> "Words":
        """From rows of pk, kind, folded, board's pk, pk of the word it was merged into."""
        return cls(Word(*row) for row in rows)

    def canonical(self, kind: str, text: str, within: str = "") -> str:
        """The folded word a text counts under; merges are followed. A text no list knows gives itself folded.

        `within` is the board of a revision or a point, as typed. Boards that were merged share their points. Two texts
        of one kind and board are the same thing exactly where their answers are equal.
        """
        return self.key(kind, text, within)[2]

    def key(self, kind: str, text: str, within: str = "") -> Key:
        """What a text counts under: kind, canonical board ("" for none) and canonical text."""
        asked = (kind, text, within)
        if asked not in self._keys:
            place = self.canonical(BOARD, within) if kind in ON_A_BOARD and within else ""
            self._keys[asked] = self._key(kind, place, fold(text))
        return self._keys[asked]

    def key_of(self, word: Word) -> Key:
        """What a word of a list counts under."""
        return self._key(word.kind, self._place_of(word), word.folded)

    def against_merging(self, pk: int, into: int) -> str:
        """Why one word cannot be merged into another, as a sentence; "" where it can."""
        word, target = self.by_pk.get(pk), self.by_pk.get(into)
        if word is None or target is None or word.kind != target.kind:
            return "Only two words of one list can be merged."
        mine, theirs = self.key_of(word), self.key_of(target)
        if word.into is not None or word.folded in self._merges.get(mine[:2], {}):
            return "That word counts under another one already. Take that back first."
        if mine[1] != theirs[1]:
            return "The two lie on different boards. Merge the boards first if they are one."
        return "The two count as one already." if mine == theirs else ""

    def _key(self, kind: str, place: str, folded: str) -> Key:
        return kind, place, _end(folded, self._merges.get((kind, place), {}).get)

    def _place_of(self, word: Word) -> str:
        if word.kind not in ON_A_BOARD or word.within is None:
            return ""
        return _end(self.by_pk[word.within].folded, self._tops.get)

    @cached_property
    def _tops(self) -> dict[str, str]:
        return self._steps(word for word in self.by_pk.values() if word.kind == BOARD)

    @cached_property
    def _merges(self) -> dict[tuple[str, str], dict[str, str]]:
        """By kind and board: from which folded word to which. A word that stands on two merged boards has one step."""
        groups: dict[tuple[str, str], list[Word]] = defaultdict(list)
        for word in sorted(self.by_pk.values(), key=lambda each: each.pk):
            groups[word.kind, self._place_of(word)].append(word)
        return {group: self._steps(words) for group, words in groups.items()}

    def _steps(self, words: Iterable[Word]) -> dict[str, str]:
        steps: dict[str, str] = {}
        for word in words:
            if word.into is not None and word.into in self.by_pk:
                target = self.by_pk[word.into].folded
                if target != word.folded:
                    steps.setdefault(word.folded, target)
        return steps


def _end(start: str, step: Callable[[str], str | None]) -> str:
    """Where a chain of merges ends; of a ring (two boards merged whose points point at each other) the first by letter."""
    seen = [start]
    while (following := step(seen[-1])) is not None:
        if following in seen:
            return min(seen[seen.index(following) :])
        seen.append(following)
    return seen[-1]


def likely_doubles(names: Iterable[str], *, most: int = 20) -> list[tuple[str, str, float]]:
    """Pairs of folded names of one list that look like one word, the likeliest first.

    Likeness is difflib's ratio, 0 to 1. Names whose numbers differ are never proposed: C2301 and C2302 are two points.
    """
    groups: dict[tuple[str, ...], list[str]] = defaultdict(list)
    for name in sorted(set(names)):
        groups[tuple(_NUMBERS.findall(name))].append(name)
    found = []
    for group in groups.values():
        for index, first in enumerate(group):
            matcher = difflib.SequenceMatcher(b=first, autojunk=False)
            for second in group[index + 1 :]:
                matcher.set_seq1(second)
                if matcher.real_quick_ratio() >= ALIKE and matcher.quick_ratio() >= ALIKE:
                    ratio = matcher.ratio()
                    if ratio >= ALIKE:
                        found.append((first, second, ratio))
    return sorted(found, key=lambda pair: (-pair[2], pair[:2]))[:most]
