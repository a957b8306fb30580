"""Labels: text stays inside its box, letters fall back, and the bag says nothing of a person."""

import dataclasses

import pytest

from intake.papers.address_label import PARCEL_SIZES, address_label_pdf
from intake.papers.bag_label import BagLabel, bag_label_pdf
from intake.papers.label import LEAST_MODULE, SMALLEST_POINTS, Label, unprintable, width_of, wrapped
from intake.papers.quarantine_slip import quarantine_slip_pdf
from tests.paper_samples import BAG, CODE, HOSTILE, LABEL, MARA, SLIP, loose_fonts, poisoned, read, words_of


def test_label_has_title_language_and_own_fonts() -> None:
    pdf = address_label_pdf(LABEL)
    reader = read(pdf)
    assert reader.root_object["/Lang"] == "en-GB"
    assert reader.metadata is not None and reader.metadata.title == f"Address label {CODE}"
    assert loose_fonts(pdf) == []
    assert len(reader.pages) == 1


@pytest.mark.parametrize("poison", HOSTILE)
def test_labels_hold_hostile_text(poison: str) -> None:
    for size in PARCEL_SIZES:
        assert len(read(address_label_pdf(poisoned(LABEL, HOSTILE[poison]), size=size)).pages) == 1
    assert len(read(bag_label_pdf(poisoned(BAG, HOSTILE[poison]))).pages) == 1
    assert len(read(quarantine_slip_pdf(poisoned(SLIP, HOSTILE[poison]))).pages) == 1


@pytest.mark.parametrize("text", ["short", "several words that need room " * 9, "W" * 300, "Жук " * 40])
@pytest.mark.parametrize("box", [(30.0, 6.0), (60.0, 20.0), (12.0, 4.0)])
def test_text_never_leaves_its_box(text: str, box: tuple[float, float]) -> None:
    lines, points = Label._fit(text, "Read", 14, SMALLEST_POINTS, *box)
    assert points >= SMALLEST_POINTS
    assert max(width_of(line, "Read", points) for line in lines) <= box[0] + 1e-6
    assert len(lines) * points * 1.2 / 2.834645669 <= box[1] + 1e-6


def test_text_that_fits_keeps_its_size() -> None:
    assert Label._fit("Mara", "Read", 14, SMALLEST_POINTS, 60, 10) == (["Mara"], 14)


def test_wrapped_loses_no_letter() -> None:
    text = "alpha beta " + "x" * 90
    assert "".join(wrapped(text, "Read", 9, 25)).replace(" ", "") == text.replace(" ", "")


def test_letters_outside_latin_fall_back_and_the_rest_is_named() -> None:
    pdf = address_label_pdf(dataclasses.replace(LABEL, send_to=("Жук Ελλάδα",)))
    assert "Жук" in words_of(pdf)
    assert any("NotoSans" in str(font.get_object()["/BaseFont"]) for font in _fonts(pdf))
    assert unprintable("Жук Ελλάδα é") == ""
    assert unprintable("修理 ok 修") == "修理"


def _fonts(pdf: bytes) -> list[object]:
    return list(read(pdf).pages[0]["/Resources"]["/Font"].values())


def test_bag_label_has_no_place_for_a_person() -> None:
    assert {field.name for field in dataclasses.fields(BagLabel)} == {
        "code",
        "device",
        "bag",
        "flag",
        "language",
    }
    assert MARA[0] not in words_of(bag_label_pdf(BAG))
    assert "QUARANTINE" in words_of(bag_label_pdf(BAG))


def test_quarantine_slip_says_what_not_to_do() -> None:
    said = words_of(quarantine_slip_pdf(SLIP))
    for words in (
        "Do not charge",
        "Do not press",
        "Do not post",
        "03 Feb 2026, 12:00",
        "Local waste and fire rules",
    ):
        assert words in said


def test_bar_code_too_long_for_its_width_is_refused() -> None:
    label = Label("62x29", title="t", language="en")
    with pytest.raises(ValueError, match="too long for a bar code"):
        label.code128("A" * 40, (0, 0, 62, 8))
    assert LEAST_MODULE == 0.25


@pytest.mark.parametrize("size", ["62x29", "A0"])
def test_parcel_label_of_another_size_is_refused(size: str) -> None:
    with pytest.raises(ValueError, match="A parcel label is one of"):
        address_label_pdf(LABEL, size=size)
