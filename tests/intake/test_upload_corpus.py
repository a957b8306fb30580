"""Every file of the corpus through the real door: taken and made clean, or refused in a sentence; never a crash."""

import io
import os
import time
from collections import Counter
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

import pytest
from PIL import Image

from intake.pictures import LIMITS, Picture, PictureError, re_encode
from tests.intake.upload_corpus import MARK, Sent, corpus

# Start, our JFIF head, tables, one frame, its scan: what a picture needs and nothing else (ITU-T T.81, table B.1).
NEEDED = {0xE0, 0xDB, 0xC0, 0xC4, 0xDA}
LEFT_OVERS = (
    MARK,
    b"Exif",
    b"ICC_PROFILE",
    b"ns.adobe",
    b"Photoshop",
    b"PK\x03\x04",
    b"<script",
    b"<?php",
    b"MZ\x90",
)


def markers(jpeg: bytes) -> set[int]:
    """The kinds of segment before the picture's own data."""
    assert jpeg[:2] == b"\xff\xd8"
    assert jpeg[-2:] == b"\xff\xd9"
    found, at = set(), 2
    while True:
        assert jpeg[at] == 0xFF
        found.add(jpeg[at + 1])
        if jpeg[at + 1] == 0xDA:
            return found
        at += 2 + int.from_bytes(jpeg[at + 2 : at + 4], "big")


def faults_of(sent: Sent, picture: Picture) -> list[str]:
    """What is wrong with a picture that was taken."""
    wrong = [f"holds {left!r}" for left in LEFT_OVERS if left in picture.jpeg]
    if extra := markers(picture.jpeg) - NEEDED:
        wrong.append(f"segments {sorted(map(hex, extra))}")
    with Image.open(io.BytesIO(picture.jpeg)) as image:
        image.load()
        if (image.format, image.mode) != ("JPEG", "RGB") or max(image.size) > LIMITS.edge:
            wrong.append(f"{image.format} {image.mode} {image.size}")
    return wrong


def through(sent: Sent) -> tuple[str, float, list[str]]:
    """How it ended, the seconds it took with the start of the child, and what was wrong."""
    began = time.monotonic()
    try:
        picture = re_encode(sent.content)
    except PictureError as fault:
        took = time.monotonic() - began
        return fault.fault, took, [] if str(fault).endswith(".") else ["no sentence"]
    return "taken", time.monotonic() - began, faults_of(sent, picture)


def sample(size: Callable[[int, int], int]) -> list[Sent]:
    """The short form takes every ninth, and those that carry the mark in each kind of file."""
    files = list(corpus())
    step = size(9, 1)
    return [sent for number, sent in enumerate(files) if number % step == 0]


def test_corpus_is_as_large_as_promised() -> None:
    names = [sent.name for sent in corpus()]
    assert len(names) >= 300
    assert len(set(names)) == len(names)
    assert sum(MARK in sent.content for sent in corpus()) >= 25


@pytest.mark.long
def test_every_file_ends_as_it_should_and_leaves_nothing_behind(size: Callable[[int, int], int]) -> None:
    files = sample(size)
    with ThreadPoolExecutor(min(2, os.cpu_count() or 1)) as pool:
        ended = list(pool.map(through, files))
    wrong = [
        f"{sent.name}: {how} {faults}"
        for sent, (how, _, faults) in zip(files, ended, strict=True)
        if how not in sent.ends.split() or faults
    ]
    assert wrong == []
    # Coarse, for a busy machine: the child's own limit is 15 s of work and 30 s in all.
    slowest = max(took for _, took, _ in ended)
    assert slowest < 3 * LIMITS.wall
    print(len(files), Counter(how for how, _, _ in ended), f"slowest {slowest:.2f} s")
