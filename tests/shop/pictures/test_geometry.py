"""Places on a photo: thousandths to pixels, shapes, squares. Expected values worked out by hand."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.pictures import geometry
from shop.pictures.geometry import Mark
from shop.pictures.words import mark_words, photo_words, where_words

places = st.integers(0, 1000)
sides = st.integers(16, 2400)


def test_first_and_last_pixel_are_reached() -> None:
    assert [geometry.pixel(place, 801) for place in (0, 250, 500, 1000)] == [0, 200, 400, 800]


@pytest.mark.parametrize("place", [-1, 1001])
def test_place_outside_the_photo_is_no_place(place: int) -> None:
    with pytest.raises(ValueError, match="between 0 and 1000"):
        geometry.pixel(place, 800)


def test_ring_goes_through_its_edge() -> None:
    ring = geometry.ring(Mark("ring", 500, 500, 560, 500), 1001, 501)
    assert (ring.x, ring.y, ring.radius) == (500, 250, 60)
    assert ring.box == (440, 190, 560, 310)


def test_ring_without_a_size_is_still_a_ring() -> None:
    ring = geometry.ring(Mark("ring", 500, 500, 500, 500), 1001, 501)
    assert ring.radius == 3 * geometry.stroke(1001, 501) > 0


def test_arrow_points_at_its_end() -> None:
    start, foot, head = geometry.arrow(Mark("arrow", 0, 500, 500, 500), 1001, 501)
    assert (start, head[0]) == ((0, 250), (500, 250))
    assert foot == (500 - 7 * geometry.stroke(1001, 501), 250)
    assert head[1][0] == head[2][0] == foot[0] and head[1][1] + head[2][1] == 500


def test_arrow_from_nowhere_comes_from_above() -> None:
    start, _, head = geometry.arrow(Mark("arrow", 500, 500, 500, 500), 1001, 501)
    assert start[1] < head[0][1] == 250


@given(places, places, sides, sides)
def test_number_disc_is_never_cut_off(x: int, y: int, width: int, height: int) -> None:
    disc = geometry.disc(Mark("number", x, y, number=1), width, height)
    left, top, right, bottom = disc.box
    assert left >= 0 and top >= 0 and right <= width and bottom <= height


@given(st.sampled_from(["ring", "arrow"]), places, places)
def test_one_place_makes_a_whole_mark_inside_the_photo(kind: str, x: int, y: int) -> None:
    mark = geometry.whole(Mark(kind, x, y))
    assert None not in (mark.to_x, mark.to_y)
    assert all(0 <= (place or 0) <= 1000 for place in (mark.x, mark.y, mark.to_x, mark.to_y))
    meant = (mark.to_x, mark.to_y) if kind == "arrow" else (mark.x, mark.y)
    assert meant == (x, y)
    assert math.dist((mark.x, mark.y), (mark.to_x or 0, mark.to_y or 0)) > 0


def test_whole_mark_stays_as_it_is() -> None:
    mark = Mark("arrow", 1, 2, 3, 4)
    assert geometry.whole(mark) == mark
    assert geometry.whole(Mark("number", 5, 6, number=7)) == Mark("number", 5, 6, number=7)
    with pytest.raises(ValueError, match="no mark called"):
        geometry.whole(Mark("star", 5, 6))


@pytest.mark.parametrize(("name", "place"), [("A1", (56, 56)), ("e5", (500, 500)), (" I9 ", (944, 944))])
def test_square_has_a_middle(name: str, place: tuple[int, int]) -> None:
    assert geometry.of_square(name) == place


@pytest.mark.parametrize("name", ["", "J1", "A0", "55", "A10", "1A"])
def test_square_that_is_none_is_said(name: str) -> None:
    with pytest.raises(ValueError, match="such as E5"):
        geometry.of_square(name)


def test_marks_are_said_in_words() -> None:
    number = Mark("number", 100, 100, number=3)
    assert mark_words(number, "boost out", reading="0.452 V, open") == "3: boost out, 0.452 V, open"
    assert mark_words(number, "") == "3, at the top left"
    assert mark_words(Mark("ring", 500, 500, 560, 500), "torn pad") == "Ring in the middle: torn pad"
    assert mark_words(Mark("arrow", 0, 0, 900, 500), "") == "Arrow at the right"


@pytest.mark.parametrize(
    ("x", "y", "words"),
    [
        (0, 0, "at the top left"),
        (500, 900, "at the bottom"),
        (400, 400, "in the middle"),
        (667, 334, "at the right"),
    ],
)
def test_ninth_of_the_photo_is_named(x: int, y: int, words: str) -> None:
    assert where_words(x, y) == words


def test_photo_is_said_with_role_caption_and_marks() -> None:
    assert photo_words("The fault", "", []) == "The fault"
    assert (
        photo_words("The fault", "Lifted pad", ["1: here", "Ring"])
        == "The fault: Lifted pad. Marked: 1: here; Ring"
    )
