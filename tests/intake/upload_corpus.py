"""More than 300 files that somebody could send as a photo: good ones, tricks, wrecks and bombs. Made here, each the same each time.

The kinds follow the OWASP File Upload cheat sheet and ASVS 5.0, 5.2.2 to 5.2.6 (from the stored texts): renamed types, two
formats in one, bombs of pixels and of packed text, data behind the picture, places in the metadata.
"""

import io
import random
import struct
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

import pillow_heif
from PIL import Image
from PIL.PngImagePlugin import PngInfo

MARK = b"MARK-7f3a"
SEED = 20260202


@dataclass(frozen=True)
class Sent:
    """`ends`: how it may end, 'taken' or a fault of intake.pictures; several are parted by a blank."""

    name: str
    content: bytes
    ends: str


def saved(picture: Image.Image, kind: str, **more: object) -> bytes:
    out = io.BytesIO()
    picture.save(out, kind, **more)
    return out.getvalue()


@cache
def noise(width: int = 160, height: int = 120, mode: str = "RGB") -> Image.Image:
    size = width * height * len(Image.new(mode, (1, 1)).getbands())
    return Image.frombytes(mode, (width, height), random.Random(SEED).randbytes(size))


@cache
def heic(*, frames: int = 1, exif: bytes = b"") -> bytes:
    out = io.BytesIO()
    file = pillow_heif.from_pillow(noise())
    for _ in range(frames - 1):
        file.add_from_pillow(noise(96, 64))
    file.save(out, quality=80, **({"exif": exif} if exif else {}))
    return out.getvalue()


@cache
def plain() -> dict[str, bytes]:
    return {
        "jpeg": saved(noise(), "JPEG"),
        "png": saved(noise(), "PNG"),
        "webp": saved(noise(), "WEBP"),
        "heic": heic(),
    }


def place() -> Image.Exif:
    """Where and with what it was taken."""
    exif = Image.Exif()
    exif[0x010F], exif[0x010E], exif[0x9286] = "Zarnik " + MARK.decode(), MARK.decode(), MARK.decode()
    exif.get_ifd(0x8825).update({1: "N", 2: (51.0, 28.0, 40.0), 3: "W", 4: (0.0, 0.0, 5.0)})
    return exif


def chunk(kind: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


def with_chunk(png: bytes, kind: bytes, data: bytes, times: int = 1) -> bytes:
    """The chunks come right after the head of 33 bytes."""
    return png[:33] + chunk(kind, data) * times + png[33:]


def png_of(
    width: int, height: int, *, bits: int = 1, colour: int = 0, rows: bytes = b"\0" * 100_000
) -> bytes:
    head = struct.pack(">IIBBBBB", width, height, bits, colour, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + chunk(b"IDAT", zlib.compress(rows, 9))
        + chunk(b"IEND", b"")
    )


def with_segment(jpeg: bytes, marker: int, data: bytes, times: int = 1) -> bytes:
    return jpeg[:2] + (bytes([0xFF, marker]) + struct.pack(">H", len(data) + 2) + data) * times + jpeg[2:]


def claims(jpeg: bytes, width: int, height: int) -> bytes:
    """The same JPEG with other sizes in its frame header."""
    at = jpeg.index(b"\xff\xc0") + 5
    return jpeg[:at] + struct.pack(">HH", height, width) + jpeg[at + 4 :]


def with_zip(data: bytes) -> bytes:
    out = io.BytesIO(data)
    out.seek(0, io.SEEK_END)
    with zipfile.ZipFile(out, "a") as archive:
        archive.writestr("hidden.html", b"<script>" + MARK + b"</script>")
    return out.getvalue()


def looping_exif() -> bytes:
    """A directory that names itself as the next one, and an entry that claims four thousand million values."""
    entry = struct.pack("<HHII", 0x010F, 2, 0xFFFFFFF0, 8)
    return b"Exif\0\0II*\0" + struct.pack("<IH", 8, 1) + entry + struct.pack("<I", 8)


def corpus() -> Iterator[Sent]:
    yield from good()
    yield from marked()
    yield from no_pictures()
    yield from two_in_one()
    yield from bombs()
    yield from cut()
    yield from mutated()


def good() -> Iterator[Sent]:
    for kind, data in plain().items():
        yield Sent(f"plain.{kind}", data, "taken")
    yield Sent("progressive.jpg", saved(noise(), "JPEG", progressive=True), "taken")
    yield Sent("cmyk.jpg", saved(noise(mode="CMYK"), "JPEG"), "taken")
    for mode in ("L", "1", "P", "LA", "RGBA", "I;16"):
        picture = Image.new("I;16", (80, 60), 40_000) if mode == "I;16" else noise().convert(mode)
        yield Sent(f"mode-{mode}.png", saved(picture, "PNG"), "taken")
    yield Sent("clear.png", saved(noise().convert("P"), "PNG", transparency=3), "taken")
    yield Sent(
        "sixteen-bits-rgb.png", png_of(8, 8, bits=16, colour=2, rows=(b"\0" + b"\x40\x10" * 24) * 8), "taken"
    )
    yield Sent("lossless.webp", saved(noise(), "WEBP", lossless=True), "taken")
    yield Sent("clear.webp", saved(noise(mode="RGBA"), "WEBP"), "taken")
    frames = [noise().rotate(turn) for turn in (0, 90, 180)]
    for kind in ("PNG", "WEBP"):
        moving = saved(frames[0], kind, save_all=True, append_images=frames[1:])
        yield Sent(f"moving.{kind.lower()}", moving, "taken")
    yield Sent("several.heic", heic(frames=3), "taken")
    for width, height in ((1, 1), (1, 12_000), (12_000, 1), (2401, 3), (4000, 3000)):
        yield Sent(f"size-{width}x{height}.png", saved(Image.new("L", (width, height), 90), "PNG"), "taken")
    for turn in range(10):
        exif = Image.Exif()
        exif[0x0112] = turn
        yield Sent(f"turned-{turn}.jpg", saved(noise(), "JPEG", exif=exif), "taken")


def marked() -> Iterator[Sent]:
    """Each carries MARK somewhere; none of it may be left."""
    jpeg, png = plain()["jpeg"], plain()["png"]
    raw = place().tobytes()
    yield Sent("place.jpg", saved(noise(), "JPEG", exif=place()), "taken")
    yield Sent("place.png", saved(noise(), "PNG", exif=place()), "taken")
    yield Sent("place.webp", saved(noise(), "WEBP", exif=raw), "taken")
    yield Sent("place.heic", heic(exif=raw), "taken")
    yield Sent("comment.jpg", saved(noise(), "JPEG", comment=MARK), "taken")
    xmp = b"http://ns.adobe.com/xap/1.0/\0<x:xmpmeta>" + MARK + b"</x:xmpmeta>"
    yield Sent("xmp.jpg", with_segment(jpeg, 0xE1, xmp), "taken")
    yield Sent("iptc.jpg", with_segment(jpeg, 0xED, b"Photoshop 3.0\x008BIM\x04\x04" + MARK), "taken")
    yield Sent("maker.jpg", with_segment(jpeg, 0xEC, MARK * 100), "taken")
    yield Sent("profile.jpg", with_segment(jpeg, 0xE2, b"ICC_PROFILE\0\1\1" + MARK * 300), "taken")
    yield Sent("profile.png", saved(noise(), "PNG", icc_profile=MARK * 9000), "taken")
    info = PngInfo()
    info.add_text("Author", MARK.decode())
    info.add_text("Comment", MARK.decode(), zip=True)
    info.add_itxt("XML:com.adobe.xmp", MARK.decode(), zip=True)
    yield Sent("texts.png", saved(noise(), "PNG", pnginfo=info), "taken")
    yield Sent("own-chunk.png", with_chunk(png, b"prVt", MARK * 50), "taken")
    for kind, data in plain().items():
        yield Sent(f"behind-zip.{kind}", with_zip(data), "taken damaged")
        yield Sent(f"behind-script.{kind}", data + b"<script>" + MARK + b"</script>", "taken damaged")
        yield Sent(f"behind-php.{kind}", data + b"<?php " + MARK + b" ?>", "taken damaged")
        yield Sent(f"behind-second.{kind}", data + saved(noise(), "JPEG", exif=place()), "taken damaged")
        yield Sent(f"behind-program.{kind}", data + b"MZ\x90\0" + MARK * 1000, "taken damaged")


def no_pictures() -> Iterator[Sent]:
    yield Sent("empty.jpg", b"", "empty")
    heads = {
        "one": b"\xff", "two": b"\xff\xd8", "words": b"This is a letter. " * 50, "html": b"<!doctype html><script>1</script>",
        "svg": b"<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'><image href='file:///etc/passwd'/></svg>",
        "svgz": zlib.compress(b"<svg/>"), "pdf": b"%PDF-1.7\n" + MARK, "eps": b"%!PS-Adobe-3.0 EPSF-3.0\n(run) system",
        "zip": with_zip(b""), "gzip": b"\x1f\x8b\x08" + b"\0" * 60, "exe": b"MZ\x90\0" + b"\0" * 200, "elf": b"\x7fELF" + b"\0" * 200,
        "php": b"<?php system($_GET['x']); ?>", "shell": b"#!/bin/sh\nid\n", "mvg": b"push graphic-context\nfill 'url(https://x)'\n",
        "xml": b"<?xml version='1.0'?><!DOCTYPE a [<!ENTITY b SYSTEM 'file:///etc/passwd'>]><a>&b;</a>",
        "psd": b"8BPS\0\1" + b"\0" * 60, "jp2": b"\0\0\0\x0cjP  \r\n\x87\n" + b"\0" * 60, "ico": b"\0\0\1\0\1\0" + b"\0" * 60,
        "wave": b"RIFF\x24\0\0\0WAVEfmt " + b"\0" * 40, "mp4": b"\0\0\0\x18ftypisom" + b"\0" * 60,
        "avif": b"\0\0\0\x1cftypavif" + b"\0" * 60, "tar": b"a.jpg" + b"\0" * 507, "utf16": "\ufeff<svg/>".encode("utf-16"),
        "blank": b"\0" * 4096, "png behind a space": b" " + plain()["png"], "jpeg behind a line": b"\n" + plain()["jpeg"],
    }  # fmt: skip
    for name, data in heads.items():
        yield Sent(f"{name}.jpg", data, "type")
    frames = [noise(32, 32).rotate(turn).convert("P") for turn in range(40)]
    yield Sent("frames.jpg", saved(frames[0], "GIF", save_all=True, append_images=frames[1:] * 10), "type")
    for kind in ("BMP", "TIFF", "PPM", "TGA", "GIF"):
        yield Sent(f"renamed-{kind.lower()}.jpg", saved(noise(), kind), "type")


def two_in_one() -> Iterator[Sent]:
    jpeg, png = plain()["jpeg"], plain()["png"]
    page = b"<script>" + MARK + b"</script>"
    yield Sent("magic-then-page.jpg", b"\xff\xd8\xff" + page * 50, "damaged")
    yield Sent("magic-then-page.png", b"\x89PNG\r\n\x1a\n" + page * 50, "damaged")
    yield Sent("magic-then-page.webp", b"RIFF\x24\0\0\0WEBP" + page * 50, "damaged")
    yield Sent("magic-then-page.heic", b"\0\0\0\x18ftypheic" + page * 50, "damaged")
    yield Sent("page-in-comment.jpg", with_segment(jpeg, 0xFE, b"--><!--" + page + b"/*"), "taken")
    yield Sent("script-in-head.jpg", with_segment(jpeg, 0xE0, b"*/=1;alert(1);/*" + MARK), "taken damaged")
    yield Sent("page-in-text.png", with_chunk(png, b"tEXt", b"a\0" + page), "taken")
    yield Sent("png-inside.jpg", with_segment(jpeg, 0xEF, png[:60_000]), "taken")
    yield Sent("jpeg-named-webp.webp", jpeg, "taken")
    yield Sent(
        "riff-of-another-length.webp",
        plain()["webp"][:4] + b"\xff\xff\xff\x7f" + plain()["webp"][8:],
        "taken damaged",
    )
    yield Sent("no-last-chunk.png", png[:-12], "taken damaged")
    yield Sent("wrong-sum.png", png[:29] + b"\0\0\0\0" + png[33:], "damaged")
    yield Sent("no-pictures.png", png[:33] + chunk(b"IEND", b""), "damaged")


def bombs() -> Iterator[Sent]:
    jpeg, png = plain()["jpeg"], plain()["png"]
    for width, height in ((30_000, 30_000), (12_001, 10), (10, 12_001), (8_000, 7_000), (12_000, 12_000)):
        yield Sent(f"claims-{width}x{height}.png", png_of(width, height), "pixels")
        yield Sent(f"claims-{width}x{height}.jpg", claims(jpeg, width, height), "pixels")
    for width, height in ((2**31 - 1, 2**31 - 1), (0, 0), (0, 10), (10, 0)):
        yield Sent(f"claims-{width}x{height}.png", png_of(width, height), "pixels damaged")
    for width, height in ((65_535, 65_535), (0, 0), (65_535, 0)):
        yield Sent(f"claims-{width}x{height}.jpg", claims(jpeg, width, height), "pixels damaged")
    wide = b"RIFF\x1a\0\0\0WEBPVP8X\x0a\0\0\0\0\0\0\0\xff\x3f\0\xff\x3f\0" + plain()["webp"][12:]
    yield Sent("claims-16384x16384.webp", wide, "pixels damaged")
    for name, kind in (("text", b"zTXt"), ("profile", b"iCCP")):
        packed = zlib.compress(b"\0" * 60_000_000, 9)
        yield Sent(f"packed-{name}.png", with_chunk(png, kind, b"a\0\0" + packed), "taken damaged heavy")
    yield Sent(
        "packed-itxt.png",
        with_chunk(png, b"iTXt", b"a\0\1\0\0\0" + zlib.compress(b"a" * 60_000_000, 9)),
        "taken damaged heavy",
    )
    rows = (b"\0" + b"\0" * 7000) * 7000
    yield Sent("packed-rows.png", png_of(7000, 7000, bits=8, rows=rows), "taken heavy")
    yield Sent("more-rows-than-said.png", png_of(8, 8, bits=8, rows=b"\0" * 30_000_000), "taken damaged")
    yield Sent("many-chunks.png", with_chunk(png, b"tEXt", b"a\0b", times=50_000), "taken damaged heavy")
    yield Sent("many-segments.jpg", with_segment(jpeg, 0xE5, b"x", times=50_000), "taken damaged")
    yield Sent("many-comments.jpg", with_segment(jpeg, 0xFE, MARK * 20, times=2000), "taken")
    yield Sent("looping-exif.jpg", with_segment(jpeg, 0xE1, looping_exif()), "taken damaged")
    yield Sent(
        "huge-profile.png",
        saved(noise(), "PNG", icc_profile=random.Random(1).randbytes(4_000_000)),
        "taken damaged",
    )
    many = saved(noise(900, 900), "JPEG", progressive=True)
    start = many.index(b"\xff\xda")
    yield Sent("many-scans.jpg", many[:-2] + (many[start:-2]) * 30 + b"\xff\xd9", "taken damaged heavy")
    moving = [Image.new("P", (400, 400), colour) for colour in range(200)]
    yield Sent(
        "two-hundred-frames.webp", saved(moving[0], "WEBP", save_all=True, append_images=moving[1:]), "taken"
    )
    yield Sent("too-long.jpg", jpeg + b"\0" * 15_000_000, "size")


def cut() -> Iterator[Sent]:
    for kind, data in plain().items():
        for share in (0.02, 0.1, 0.3, 0.5, 0.7, 0.9, 0.97, 0.999):
            yield Sent(f"cut-{share}.{kind}", data[: int(len(data) * share)], "damaged type taken")


def mutated() -> Iterator[Sent]:
    """Bytes changed, taken out and put in, anywhere in the file."""
    chance = random.Random(SEED)
    for kind, data in plain().items():
        for number in range(50):
            wreck = bytearray(data)
            for _ in range(chance.choice((1, 3, 10, 40))):
                at = chance.randrange(min(len(wreck), chance.choice((64, 1024, len(wreck)))))
                match chance.randrange(4):
                    case 0:
                        wreck[at] = chance.randrange(256)
                    case 1:
                        del wreck[at : at + chance.randrange(1, 9)]
                    case 2:
                        wreck[at:at] = chance.randbytes(chance.randrange(1, 9))
                    case _:
                        wreck[at : at + 4] = b"\xff\xff\xff\xff"
            yield Sent(f"wreck-{number}.{kind}", bytes(wreck), "taken damaged type pixels")
