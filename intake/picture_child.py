"""The child process that opens one picture from a stranger and writes it anew; see `intake.pictures`.

Reads the file from standard input and the limits as JSON from its one argument. Writes one line of JSON, then the JPEG.
It binds itself before the first byte is decoded, so a picture that breaks a decoder breaks this process alone.
"""

import io
import json
import resource
import sys
from typing import Any, NoReturn

_JPEG, _PNG = b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n"


class _Fault(Exception):
    def __init__(self, fault: str, **more: int) -> None:
        super().__init__(fault)
        self.told: dict[str, object] = {"fault": fault, **more}


def main() -> NoReturn:
    """Do the one job and leave; the exit code is 0 for a told fault too."""
    limits: dict[str, int] = json.loads(sys.argv[1])
    _bind(limits)
    try:
        told, jpeg = _clean(sys.stdin.buffer.read(limits["max_bytes"] + 1), limits)
    except _Fault as fault:
        told, jpeg = fault.told, b""
    except MemoryError:
        told, jpeg = {"fault": "heavy"}, b""
    sys.stdout.buffer.write(json.dumps(told).encode() + b"\n" + jpeg)
    sys.stdout.flush()
    sys.exit(0)


def _bind(limits: dict[str, int]) -> None:
    for what, most in (
        (resource.RLIMIT_AS, limits["memory"]),
        (resource.RLIMIT_CPU, limits["cpu"]),
        (resource.RLIMIT_CORE, 0),
        (resource.RLIMIT_FSIZE, 0),
    ):
        resource.setrlimit(what, (most, most))


def _kind(data: bytes) -> str:
    """Which of the four formats the first bytes claim; empty for none of them."""
    if data.startswith(_JPEG):
        return "JPEG"
    if data.startswith(_PNG):
        return "PNG"
    if data[:4] == b"RIFF" and data[8:12] == b"WEBP":
        return "WEBP"
    brands = (b"heic", b"heix", b"hevc", b"hevx", b"heim", b"heis", b"mif1", b"msf1")
    return "HEIF" if data[4:8] == b"ftyp" and data[8:12] in brands else ""


def _clean(data: bytes, limits: dict[str, int]) -> tuple[dict[str, object], bytes]:
    kind = _kind(data)
    if not kind:
        raise _Fault("type")
    from PIL import Image

    if kind == "HEIF":
        from pillow_heif import register_heif_opener

        register_heif_opener(thumbnails=False)
    # The size is judged below, with the numbers for the sentence; Pillow's own guard would hide them.
    Image.MAX_IMAGE_PIXELS = None
    try:
        with Image.open(io.BytesIO(data), formats=[kind]) as picture:
            _judge_size(picture.size, limits)
            upright = _upright(picture, limits["edge"])
            out = io.BytesIO()
            upright.save(out, "JPEG", quality=limits["quality"])
    except (_Fault, MemoryError):
        raise
    except Exception as error:  # decoders raise a dozen kinds, and each means the same to the sender
        raise _Fault("damaged") from error
    return {"width": upright.width, "height": upright.height}, out.getvalue()


def _judge_size(size: tuple[int, int], limits: dict[str, int]) -> None:
    width, height = size
    if max(size) > limits["max_side"] or width * height > limits["max_pixels"]:
        raise _Fault("pixels", width=width, height=height)


def _upright(picture: Any, edge: int) -> Any:
    """A new RGB image in sRGB, turned as the camera meant it, that shares nothing with the file but its pixels."""
    from PIL import Image, ImageOps

    turn = picture.getexif().get(0x0112, 1)
    picture.draft("RGB", (edge, edge))
    picture.load()
    small = _eight_bits(picture)
    small.thumbnail((edge, edge))
    small = _in_srgb(small, picture.info.get("icc_profile"))
    clean = Image.new("RGB", small.size, "white")
    clean.paste(small, mask=small.getchannel("A") if small.mode == "RGBA" else None)
    exif = Image.Exif()
    exif[0x0112] = turn if turn in range(1, 9) else 1
    clean.info["exif"] = exif.tobytes()
    turned = ImageOps.exif_transpose(clean)
    turned.info.clear()
    return turned


def _eight_bits(picture: Any) -> Any:
    if picture.mode.startswith("I"):
        return picture.convert("I").point(lambda value: value * (1 / 256)).convert("L").convert("RGB")
    wants_alpha = picture.mode in ("RGBA", "LA", "PA", "La", "RGBa") or "transparency" in picture.info
    return picture.convert("RGBA" if wants_alpha else "RGB")


def _in_srgb(picture: Any, profile: bytes | None) -> Any:
    if not profile:
        return picture
    from PIL import ImageCms

    try:
        source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        return ImageCms.profileToProfile(
            picture, source, ImageCms.createProfile("sRGB"), outputMode=picture.mode
        )
    except (ImageCms.PyCMSError, OSError, ValueError):
        # A profile that cannot be read costs a shade of colour, not the picture.
        return picture


if __name__ == "__main__":
    main()
