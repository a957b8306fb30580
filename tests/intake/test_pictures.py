"""Pictures from strangers: taken, turned, stripped, or refused with a sentence."""

import hashlib
import io
import random
import struct
import time
import zipfile
import zlib

import pytest
from PIL import Image

from intake.pictures import LIMITS, Limits, PictureError, re_encode, thumbnail


def saved(picture, kind="JPEG", **more):
    out = io.BytesIO()
    picture.save(out, kind, **more)
    return out.getvalue()


def halves(size=(80, 40)):
    """Left half red, right half blue."""
    picture = Image.new("RGB", size, (220, 20, 20))
    picture.paste((20, 20, 220), (size[0] // 2, 0, size[0], size[1]))
    return picture


def noise(size=(400, 300)):
    return Image.frombytes("RGB", size, random.Random(1).randbytes(size[0] * size[1] * 3))


def bomb(width, height):
    """A few bytes of PNG that claim a picture of that size."""

    def chunk(kind, data):
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", width, height, 1, 0, 0, 0, 0)
    rows = zlib.compress(b"\0" * 100_000)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


def refused(data, **more):
    with pytest.raises(PictureError) as caught:
        re_encode(data, **more)
    assert str(caught.value).endswith(".")
    return caught.value


def opened(picture):
    image = Image.open(io.BytesIO(picture.jpeg))
    image.load()
    assert image.format == "JPEG"
    assert image.size == (picture.width, picture.height)
    return image


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_picture_is_written_anew(kind):
    data = saved(halves(), kind)
    picture = re_encode(data)
    image = opened(picture)
    assert image.size == (80, 40)
    assert image.getpixel((5, 5))[0] > 180
    assert image.getpixel((75, 5))[2] > 180
    assert picture.sha256 == hashlib.sha256(picture.jpeg).hexdigest()
    assert picture.original_sha256 == hashlib.sha256(data).hexdigest()


def test_a_picture_is_taken_from_a_path(tmp_path):
    path = tmp_path / "photo"
    path.write_bytes(saved(halves()))
    assert re_encode(path).width == 80


def test_a_phones_heic_is_taken():
    import pillow_heif

    out = io.BytesIO()
    pillow_heif.from_pillow(halves((128, 64))).save(out, quality=90)
    assert out.getvalue()[4:8] == b"ftyp"
    image = opened(re_encode(out.getvalue()))
    assert image.size == (128, 64)
    assert image.getpixel((5, 5))[0] > 180


def test_a_large_picture_is_made_smaller_and_keeps_its_shape():
    picture = re_encode(saved(Image.new("RGB", (4800, 1200), "green")))
    assert (picture.width, picture.height) == (2400, 600)


def test_place_camera_and_every_other_mark_are_gone():
    exif = Image.Exif()
    exif[0x010F] = "Zarnik"
    exif.get_ifd(0x8825).update({1: "N", 2: (51.0, 28.0, 40.0), 3: "W", 4: (0.0, 0.0, 5.0)})
    data = saved(halves(), exif=exif, comment=b"MARK-COMMENT")
    assert b"Zarnik" in data
    assert 2 in Image.open(io.BytesIO(data)).getexif().get_ifd(0x8825)
    picture = re_encode(data)
    image = opened(picture)
    assert not image.getexif()
    assert not image.getexif().get_ifd(0x8825)
    assert set(image.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}
    for mark in (b"Exif", b"Zarnik", b"MARK-COMMENT"):
        assert mark not in picture.jpeg


def test_text_in_a_png_is_gone():
    from PIL.PngImagePlugin import PngInfo

    info = PngInfo()
    info.add_text("Author", "MARK-AUTHOR")
    assert b"MARK-AUTHOR" not in re_encode(saved(halves(), "PNG", pnginfo=info)).jpeg


@pytest.mark.parametrize(
    ("turn", "size", "red_at"),
    [(1, (80, 40), (5, 20)), (3, (80, 40), (75, 20)), (6, (40, 80), (20, 5)), (8, (40, 80), (20, 75))],
)
def test_a_turned_picture_stands_upright(turn, size, red_at):
    exif = Image.Exif()
    exif[0x0112] = turn
    image = opened(re_encode(saved(halves(), exif=exif)))
    assert image.size == size
    assert image.getpixel(red_at)[0] > 180


@pytest.mark.parametrize("mode", ["L", "P", "LA", "RGBA", "1", "I;16", "CMYK"])
def test_every_mode_becomes_plain_colour(mode):
    source = Image.new(mode, (30, 20)) if mode == "I;16" else halves((30, 20)).convert(mode)
    data = saved(source, "JPEG" if mode == "CMYK" else "PNG")
    assert opened(re_encode(data)).mode == "RGB"


def test_what_is_clear_becomes_white():
    image = opened(re_encode(saved(Image.new("RGBA", (30, 20), (0, 0, 0, 0)), "PNG")))
    assert min(image.getpixel((10, 10))) > 250


def test_a_zip_behind_the_picture_is_gone():
    out = io.BytesIO(saved(halves()))
    out.seek(0, io.SEEK_END)
    with zipfile.ZipFile(out, "a") as archive:
        archive.writestr("hidden.html", "<script>MARK-SCRIPT</script>")
    assert zipfile.is_zipfile(io.BytesIO(out.getvalue()))
    jpeg = re_encode(out.getvalue()).jpeg
    assert b"MARK-SCRIPT" not in jpeg
    assert b"PK\x03\x04" not in jpeg
    assert jpeg.endswith(b"\xff\xd9")


@pytest.mark.parametrize(
    "data",
    [
        b"This is a letter and not a photo. " * 50,
        b"<svg xmlns='http://www.w3.org/2000/svg'/>",
        b"%PDF-1.7\n",
        b"%!PS-Adobe-3.0 EPSF-3.0\n",
        b"GIF89a" + b"\0" * 100,
        b"II*\0" + b"\0" * 100,
        b"PK\x03\x04" + b"\0" * 100,
        b"x",
    ],
)
def test_what_is_no_picture_is_refused_whatever_its_name(data, tmp_path):
    path = tmp_path / "photo.jpg"
    path.write_bytes(data)
    assert refused(path).fault == "type"


def test_an_empty_file_is_refused():
    assert refused(b"").fault == "empty"


@pytest.mark.parametrize(
    ("width", "height"), [(30_000, 30_000), (12_001, 10), (8_000, 7_000), (2**31 - 1, 2**31 - 1)]
)
def test_a_bomb_is_refused_before_it_is_opened(width, height):
    data = bomb(width, height)
    assert len(data) < 1000
    began = time.monotonic()
    fault = refused(data)
    assert fault.fault in ("pixels", "damaged")
    assert time.monotonic() - began < 5
    if width < 2**31 - 1:
        assert f"{width} by {height} pixels" in str(fault)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
@pytest.mark.parametrize("share", [0.05, 0.5, 0.95])
def test_a_cut_picture_is_refused(kind, share):
    data = saved(noise(), kind)
    assert refused(data[: int(len(data) * share)]).fault == "damaged"


def test_forty_megabytes_are_refused_by_size_before_anything_is_read(tmp_path, monkeypatch):
    path = tmp_path / "photo.jpg"
    with path.open("wb") as file:
        file.write(b"\xff\xd8\xff")
        file.truncate(40_000_000)
    monkeypatch.setattr("intake.pictures._in_child", lambda *_: pytest.fail("it was opened"))
    monkeypatch.setattr("pathlib.Path.read_bytes", lambda _: pytest.fail("it was read"))
    fault = refused(path)
    assert fault.fault == "size"
    assert str(fault) == "This file has 40 MB. The most is 15 MB a picture."


def test_a_child_that_may_have_no_memory_is_told_of():
    assert refused(saved(noise((3000, 3000))), limits=Limits(memory=60_000_000)).fault == "heavy"


def test_a_child_that_takes_too_long_is_ended():
    began = time.monotonic()
    assert refused(saved(noise()), limits=Limits(wall=0)).fault == "heavy"
    assert time.monotonic() - began < 5


def test_the_child_starts_cheaply():
    """Measured at about 0.1 s on two cores; the promise is a quarter of a second, doubled here for a busy machine."""
    data = saved(halves())
    took = []
    for _ in range(3):
        began = time.monotonic()
        re_encode(data)
        took.append(time.monotonic() - began)
    assert min(took) < 0.5


def test_a_thumbnail_is_small_and_plain():
    small = Image.open(io.BytesIO(thumbnail(re_encode(saved(noise((800, 400)))).jpeg, 160)))
    assert small.size == (160, 80)
    assert small.format == "JPEG"


def test_limits_are_those_that_were_promised():
    assert (LIMITS.max_bytes, LIMITS.max_pixels, LIMITS.max_side, LIMITS.edge) == (
        15_000_000,
        50_000_000,
        12_000,
        2400,
    )
    assert (LIMITS.memory, LIMITS.cpu, LIMITS.wall) == (1_200_000_000, 15, 30)
