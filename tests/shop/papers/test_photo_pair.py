"""The photo pair of the report: one field, one scale."""

import io

import pytest
from PIL import Image

from shop.papers.photo_pair import at_one_scale


def photo(size, colour="black"):
    out = io.BytesIO()
    Image.new("RGB", size, colour).save(out, "JPEG")
    return out.getvalue()


def inked(jpeg):
    """Size of the picture on its white field, and of the field."""
    with Image.open(io.BytesIO(jpeg)) as picture:
        box = picture.convert("L").point(lambda grey: 255 if grey < 128 else 0).getbbox()
        return (box[2] - box[0], box[3] - box[1]), picture.size


def test_photos_of_one_camera_keep_one_scale_whichever_way_they_were_held():
    before, after, same = at_one_scale(photo((900, 600)), photo((600, 900)))
    assert same
    assert inked(before) == ((900, 600), (900, 900)) and inked(after) == ((600, 900), (900, 900))


def test_large_photos_shrink_together():
    before, after, same = at_one_scale(photo((2800, 2100)), photo((2100, 2800)))
    assert same and inked(before)[0] == (1400, 1050) and inked(after)[0] == (1050, 1400)


def test_a_photo_of_another_size_is_brought_to_the_smaller_edge_and_that_is_said():
    before, after, same = at_one_scale(photo((1200, 900)), photo((600, 450)))
    assert not same and inked(before)[0] == inked(after)[0] == (600, 450)


@pytest.mark.parametrize("bad", [b"", b"no photo"])
def test_what_cannot_be_read_comes_back_as_it_was(bad):
    good = photo((10, 10))
    assert at_one_scale(bad, good) == (bad, good, False)
