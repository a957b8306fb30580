"""Drawings of the books: read as XML, measured, and read in grey."""

import base64
import re
import xml.etree.ElementTree as ET
from collections.abc import Callable

import pytest

from shop.books import charts
from shop.books.charts.falling import spans

SVG = "{http://www.w3.org/2000/svg}"
NASTY = 'Socket <b> & "co"'
FALLS = [
    charts.Fall("Billed", 125300, "1,253.00", is_sum=True),
    charts.Fall("Parts", -9092, "-90.92"),
    charts.Fall(NASTY, -30223, "-302.23"),
    charts.Fall("Cash margin", 85985, "859.85", is_sum=True),
    charts.Fall("Minutes", -95340, "-953.40"),
    charts.Fall("Full margin", -9355, "-93.55", is_sum=True),
]
STEPS = [
    charts.CurveStep(1, 0.2, 0.05, 0.4),
    charts.CurveStep(3, 0.5, 0.3, 0.7),
    charts.CurveStep(8, 0.9, 0.6, 0.99),
]
MARKS = [charts.Mark(0.5, 3, "Half by day 3"), charts.Mark(0.95, None, "Not reached")]
BARS = [
    charts.Bar("Sockets", 40, "40.00", before=20),
    charts.Bar(NASTY * 6, 10, "10.00", pale=True),
    charts.Bar("Lost", -20, "-20.00"),
]
POINTS = [
    charts.Point(f"{week}", value, "slower than usual" if week == 5 else "")
    for week, value in enumerate([4.0, 5.0, None, 3.0, 4.0, 9.0])
]
STACKS = [charts.Stack("Jan", (5, 3, 0, 2)), charts.Stack("Feb", (1, 1, 1, 1), "4 of 4")]
PARTS = ["agreed", "declined", "lapsed", "waiting"]
KINDS: dict[str, Callable[[], charts.Chart]] = {
    "falling": lambda: charts.falling(FALLS, title=f"Margin {NASTY}"),
    "curve": lambda: charts.curve(STEPS, title="Gone", marks=MARKS),
    "bars": lambda: charts.bars(BARS, title="By remedy"),
    "individuals": lambda: charts.individuals(
        POINTS, title="Weeks", centre=(4.5, "usual 4.5"), limits=[(8.0, "upper 8.0"), (1.0, "lower 1.0")]
    ),
    "stacked": lambda: charts.stacked(STACKS, PARTS, title="Quotes"),
    "spark": lambda: charts.spark([3, 4, None, 5, 5], title="Trend"),
    "no falls": lambda: charts.falling([], title="None"),
    "no curve": lambda: charts.curve([], title="None"),
    "no bars": lambda: charts.bars([], title="None"),
    "no points": lambda: charts.individuals([], title="None"),
    "no stacks": lambda: charts.stacked([], PARTS, title="None"),
    "no trend": lambda: charts.spark([], title="None"),
}


def drawings(chart: charts.Chart) -> list[ET.Element]:
    return [ET.fromstring(chart.svg), ET.fromstring(chart.narrow_svg)]


def wide(svg: ET.Element, kind: str) -> list[float]:
    return [float(bar.attrib["width"]) for bar in svg.iter(f"{SVG}rect") if bar.get("class") == kind]


@pytest.mark.parametrize("kind", KINDS)
def test_drawing_has_title_description_and_no_negative_size(kind: str) -> None:
    chart = KINDS[kind]()
    for svg in drawings(chart):
        assert svg.attrib["role"] == "img"
        assert svg.findtext(f"{SVG}title") == chart.title
        assert svg.findtext(f"{SVG}desc") == chart.desc != ""
        for part in svg.iter():
            for name in ("width", "height", "r"):
                assert float(part.get(name, "0")) >= 0, (kind, part.attrib)


@pytest.mark.parametrize("kind", KINDS)
def test_drawing_keeps_every_place_within_its_edges(kind: str) -> None:
    for svg in drawings(KINDS[kind]()):
        across, down = (float(svg.attrib[name]) for name in ("width", "height"))
        for part in svg.iter():
            x, y = float(part.get("x", part.get("cx", "0"))), float(part.get("y", part.get("cy", "0")))
            size = float(svg.attrib["font-size"])
            ends = {"middle": 0.5, "end": 1.0}.get(part.get("text-anchor", ""), 0.0)
            room = len(part.text or "") * size * 0.5 if part.tag == f"{SVG}text" else 0.0
            assert x - room * ends >= -8, (kind, part.attrib, part.text)
            assert x + room * (1 - ends) <= across + 8, (kind, part.attrib, part.text)
            assert -8 <= y <= down, (kind, part.attrib)


@pytest.mark.parametrize("kind", KINDS)
def test_letters_on_a_phone_are_twelve_pixels_or_more(kind: str) -> None:
    _, phone = drawings(KINDS[kind]())
    shown = min(340.0, float(phone.attrib["width"])) / float(phone.attrib["width"])
    assert float(phone.attrib["font-size"]) * shown >= 12
    assert not [part for part in phone.iter() if "font-size" in part.attrib and part is not phone]


@pytest.mark.parametrize("kind", KINDS)
def test_drawing_is_ink_and_grey_alone(kind: str) -> None:
    for svg in (KINDS[kind]().svg, KINDS[kind]().narrow_svg):
        assert set(re.findall(r"#[0-9A-Fa-f]{6}", svg)) <= {"#12212A", "#42535A", "#BCC8C4", "#FFFFFF"}


def test_bars_are_as_long_as_what_they_stand_for() -> None:
    for svg in drawings(KINDS["bars"]()):
        first, second, third = wide(svg, "bar")
        assert first == pytest.approx(4 * second, abs=0.02)
        assert first == pytest.approx(2 * third, abs=0.02)
        assert wide(svg, "before") == [pytest.approx(first / 2, abs=0.02)]


def test_bar_of_few_is_not_full() -> None:
    svg = drawings(KINDS["bars"]())[0]
    fills = [bar.attrib["fill"] for bar in svg.iter(f"{SVG}rect") if bar.get("class") == "bar"]
    assert fills == ["#12212A", "url(#slant)", "#12212A"]


def test_falling_steps_begin_where_the_last_one_ended() -> None:
    levels = spans(FALLS)
    assert levels[0] == (0, 125300)
    assert [start for start, _ in levels[1:3]] == [125300, 116208]
    assert levels[3] == (0, 85985) and levels[2][1] == 85985
    for svg in drawings(KINDS["falling"]()):
        lengths = wide(svg, "bar")
        each = lengths[0] / 125300
        assert lengths == [pytest.approx(abs(end - start) * each, abs=0.02) for start, end in levels]


def test_curve_passes_its_marks() -> None:
    for svg in drawings(KINDS["curve"]()):
        line = next(part for part in svg.iter(f"{SVG}polyline") if part.get("class") == "curve")
        points = [tuple(map(float, point.split(","))) for point in line.attrib["points"].split()]
        foot, tall = points[0][1], 220
        assert points[-1][1] == pytest.approx(foot - 0.9 * tall, abs=0.1)
        (dot,) = [part for part in svg.iter(f"{SVG}circle") if part.get("class") == "point"]
        assert float(dot.attrib["cy"]) == pytest.approx(foot - 0.5 * tall, abs=0.1)
        assert float(dot.attrib["cx"]) in [point[0] for point in points]
        assert [part for part in svg.iter(f"{SVG}polygon") if part.get("class") == "band"]


def test_week_out_of_the_usual_is_a_square_and_a_gap_breaks_the_line() -> None:
    chart = KINDS["individuals"]()
    for svg in drawings(chart):
        assert len(wide(svg, "marked")) == 1
        assert len([part for part in svg.iter(f"{SVG}circle") if part.get("class") == "point"]) == 4
        assert len([part for part in svg.iter(f"{SVG}polyline") if part.get("class") == "weeks"]) == 2
    assert "slower than usual" in chart.desc


def test_stack_parts_sum_and_differ_in_filling() -> None:
    for svg in drawings(KINDS["stacked"]()):
        lengths = wide(svg, "bar")
        assert len(lengths) == 3 + 4
        assert sum(lengths[:3]) == pytest.approx(2.5 * sum(lengths[3:]), abs=0.05)
        legend = [part.attrib["fill"] for part in svg.iter(f"{SVG}rect") if part.get("class") == "legend"]
        assert len(set(legend)) == 4


def test_stack_below_nought_is_refused() -> None:
    with pytest.raises(ValueError, match="below nought"):
        charts.stacked([charts.Stack("Jan", (-1,))], ["agreed"], title="Quotes")


def test_long_name_is_cut_in_the_drawing_and_whole_in_its_description() -> None:
    chart = KINDS["bars"]()
    assert NASTY * 6 in chart.desc
    assert all(len(part.text or "") < 60 for part in drawings(chart)[0].iter(f"{SVG}text"))


def test_data_address_holds_the_drawing() -> None:
    chart = KINDS["spark"]()
    head, _, body = chart.src.partition(",")
    assert head == "data:image/svg+xml;base64"
    assert base64.b64decode(body).decode() == chart.svg
