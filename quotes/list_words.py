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
    parted two digits a space stays, since pin 2 of U1 is not U12. At most LONGEST characters.
    """
    plain = unicodedata.normalize("NFKC", unicodedata.normalize("NFKC", text).casefold()).strip()
    held = _KEPT.sub(lambda found: "\ue000" if found[0] in ".," else "\ue001", plain)
    parted = re.sub(rf"(?<=\d){_SIGNS.pattern}(?=\d)", "\ue002", held)
    bare = _SIGNS.sub("", parted)
    return bare.replace("\ue000", ".").replace("\ue001", _MINUS).replace("\ue002", " ")[:LONGEST].strip()


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
        self._keys: dict[tuple[str, str, str], str] = {}

    def canonical(self, kind: str, text: str, within: str = "") -> str:
        """The folded word a text counts under; merges are followed. A text no list knows gives itself folded.

        `within` is the board of a revision or a point, as typed. Boards that were merged share their points. Two texts
        of one kind and board are the same thing exactly where their answers are equal.
        """
        place = self.canonical(BOARD, within) if kind in ON_A_BOARD and within else ""
        folded = fold(text)
        asked = (kind, place, folded)
        if asked not in self._keys:
            steps = self._merges.get((kind, place), {})
            self._keys[asked] = _end(folded, steps.get)
        return self._keys[asked]

    def place_of(self, word: Word) -> str:
        """The canonical board a word lies on, "" for one that lies on none."""
        board = self.by_pk.get(word.within) if word.kind in ON_A_BOARD and word.within is not None else None
        return self.canonical(BOARD, board.folded) if board else ""

    def key_of(self, word: Word) -> tuple[str, str, str]:
        """What a word counts under: kind, canonical board, canonical text."""
        place = self.place_of(word)
        return word.kind, place, _end(word.folded, self._merges.get((word.kind, place), {}).get)

    @cached_property
    def _tops(self) -> dict[str, str]:
        return self._steps(word for word in self.by_pk.values() if word.kind == BOARD)

    @cached_property
    def _merges(self) -> dict[tuple[str, str], dict[str, str]]:
        """By kind and board: from which folded word to which. A word that stands on two merged boards has one step."""
        groups: dict[tuple[str, str], list[Word]] = defaultdict(list)
        for word in sorted(self.by_pk.values(), key=lambda each: each.pk):
            place = ""
            if word.kind in ON_A_BOARD and word.within is not None:
                place = _end(self.by_pk[word.within].folded, self._tops.get)
            groups[word.kind, place].append(word)
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
