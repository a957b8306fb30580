"""Photos from strangers, made harmless: decoded and written anew in a child process with narrow limits.

Nothing of the file that was sent is kept but its digest: no place, no camera, no hidden ZIP behind the picture.
The recipe follows the advice of the OWASP File Upload cheat sheet (allowlist of formats, image rewriting).
"""

import hashlib
import io
import json
import subprocess
import sys
import threading
from dataclasses import asdict, dataclass
from pathlib import Path

_ROOT = Path(__file__).resolve().parent.parent

# Two decoders at once are enough for one bench, and keep a burst of uploads from filling the memory.
_places = threading.BoundedSemaphore(2)


@dataclass(frozen=True)
class Limits:
    """What a picture may cost. Sizes in bytes and pixels, times in seconds, `quality` as JPEG counts it."""

    max_bytes: int = 15_000_000
    max_pixels: int = 50_000_000
    max_side: int = 12_000
    edge: int = 2400
    quality: int = 85
    memory: int = 1_200_000_000
    cpu: int = 15
    wall: int = 30


LIMITS = Limits()


@dataclass(frozen=True)
class Picture:
    """A clean JPEG, its size in pixels, and the SHA-256 (hex) of it and of the file that was sent."""

    jpeg: bytes
    width: int
    height: int
    sha256: str
    original_sha256: str


class PictureError(ValueError):
    """A file that is not taken. The message is a sentence to show; `fault` is one of 'size', 'type', 'damaged',
    'pixels', 'heavy', 'empty'."""

    def __init__(self, fault: str, sentence: str) -> None:
        super().__init__(sentence)
        self.fault = fault


_SENTENCES = {
    "empty": "This file is empty. Please choose the picture again.",
    "type": "This is not a picture we can open. Send a JPEG, PNG, WebP or HEIC.",
    "damaged": "The picture is damaged, or only part of it arrived. Please take it or send it again.",
    "heavy": "This picture takes too much work to open. Please send a plain photo or a screenshot of it.",
}


def re_encode(source: bytes | Path, *, limits: Limits = LIMITS) -> Picture:
    """Decode and write anew, upright, at most `limits.edge` pixels on the longer side, as JPEG without any metadata.

    The size in bytes is judged before anything is read. Raises PictureError.
    """
    size = len(source) if isinstance(source, bytes) else source.stat().st_size
    if size > limits.max_bytes:
        raise PictureError("size", _too_big(size, limits))
    data = source if isinstance(source, bytes) else source.read_bytes()
    if not data:
        raise _fault("empty")
    told, jpeg = _in_child(data, limits)
    if "fault" in told:
        if told["fault"] == "pixels":
            raise PictureError("pixels", _too_many(told, limits))
        raise _fault(str(told["fault"]))
    return Picture(
        jpeg=jpeg,
        width=int(str(told["width"])),
        height=int(str(told["height"])),
        sha256=hashlib.sha256(jpeg).hexdigest(),
        original_sha256=hashlib.sha256(data).hexdigest(),
    )


def thumbnail(jpeg: bytes, px: int) -> bytes:
    """A small JPEG, at most `px` pixels on the longer side. Only for pictures that `re_encode` made."""
    from PIL import Image

    with Image.open(io.BytesIO(jpeg), formats=["JPEG"]) as picture:
        picture.draft("RGB", (px, px))
        picture.thumbnail((px, px))
        out = io.BytesIO()
        picture.save(out, "JPEG", quality=80)
    return out.getvalue()


def _in_child(data: bytes, limits: Limits) -> tuple[dict[str, object], bytes]:
    """What the child told, and the JPEG. A child that died or ran out of time has told 'heavy'."""
    command = [sys.executable, "-s", "-m", "intake.picture_child", json.dumps(asdict(limits))]
    with _places:
        try:
            done = subprocess.run(  # noqa: S603 -- our own module, no shell, no word of it from outside
                command,
                input=data,
                capture_output=True,
                cwd=_ROOT,
                env={"LANG": "C.UTF-8"},
                timeout=limits.wall,
            )
        except subprocess.TimeoutExpired:
            return {"fault": "heavy"}, b""
    head, _, jpeg = done.stdout.partition(b"\n")
    if done.returncode != 0 or not head:
        return {"fault": "heavy"}, b""
    told: dict[str, object] = json.loads(head)
    return told, jpeg


def _fault(fault: str) -> PictureError:
    return PictureError(fault, _SENTENCES[fault])


def _too_big(size: int, limits: Limits) -> str:
    return f"This file has {size / 1_000_000:.0f} MB. The most is {limits.max_bytes / 1_000_000:.0f} MB a picture."


def _too_many(told: dict[str, object], limits: Limits) -> str:
    return (
        f"This picture is {told['width']} by {told['height']} pixels. "
        f"The most is {limits.max_side} on a side and {limits.max_pixels // 1_000_000} million in all."
    )
