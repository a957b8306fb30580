"""What a replay says of itself: differences with their sign, assumptions as sentences."""

from fractions import Fraction
from zoneinfo import ZoneInfo

from shop.books.figure_words import Say
from shop.books.lines import Books, House, Line, Window
from shop.books.replay import words
from shop.books.replay.replay_maths import replayed, stops
from shop.books.replay.shapes import Answer, Extra, More, Rules

HOUSE = House("USD", 2, ZoneInfo("UTC"), 700_000)
SAY = Say(HOUSE)
LINES = (
    Line(
        1,
        arrived=1,
        left=2,
        outcome="fixed",
        answer="accepted",
        billed=10_000,
        look=70,
        repair=20,
        bench=6_300,
    ),
    Line(
        2,
        arrived=1,
        left=2,
        outcome="declined",
        post=900,
        losses=5_000,
        look=40,
        bench=2_800,
        declared=20_000,
    ),
)
MORE = {
    1: More(
        labour=((9_000, 0),), post=((1_000, 0),), gross=10_000, asked=10_000, asked_labour=((9_000, 0),),
        answers=(Answer(10_000, 0, True),), limit=10_000,
    ),
    2: More(posted=True, lost=5_000),
}  # fmt: skip


def _ran(rules: Rules) -> words.Replayed:
    books = Books(HOUSE, 10, Window("year", "Last 52 weeks", 1, 11), LINES)
    return replayed(books, Extra(MORE, 0, rules))


def test_rows_say_same_where_nothing_changed() -> None:
    rows = words.rows(_ran(Rules()), SAY)
    assert {row.difference for row in rows} == {"same"}
    assert all(row.was == row.would for row in rows)
    assert next(row.was for row in rows if row.name == "Bench minutes") == "130"


def test_rows_say_differences_with_their_sign() -> None:
    rows = {row.name: row for row in words.rows(_ran(Rules(cover_above=0, cover_fixed=100)), SAY)}
    assert rows["Losses"].difference == "-US$50.00"
    assert rows["Cover bought"].difference == "+US$1.00"
    assert rows["Full margin"].difference == "+US$49.00"


def test_an_hour_of_no_minutes_is_said_so() -> None:
    books = Books(HOUSE, 10, Window("year", "Last 52 weeks", 1, 11), (LINES[0]._replace(look=0, repair=0),))
    rows = {row.name: row for row in words.rows(replayed(books, Extra()), SAY)}
    assert (rows["Cash margin of an hour"].was, rows["Cash margin of an hour"].difference) == (
        "no minutes",
        "same",
    )


def test_assumptions_say_each_rule_and_no_other() -> None:
    assert words.assumed(_ran(Rules()), SAY) == []
    told = words.assumed(_ran(Rules(labour=Fraction(9, 10), remedy="Wire")), SAY)
    assert (
        told[0]
        == "Labour of Wire is 10 % cheaper, each line rounded. Parts, post and tax rates stay as they were."
    )
    assert "everybody who said yes still says yes" in told[1]
    dearer = words.assumed(_ran(Rules(labour=Fraction(11, 10), floor=5_000, fewer=Fraction(5, 2))), SAY)
    assert dearer[0].startswith(
        "Labour of every order is 10 % dearer, each line rounded; labour that is charged costs at least US$50.00."
    )
    assert "2.5 of 100 fewer say yes" in dearer[1]
    assert dearer[2].startswith("1 order was started under a standing limit that the new price is above")


def test_cover_says_how_many_parcels_and_what_comes_back() -> None:
    (told,) = words.assumed(_ran(Rules(cover_above=10_000, cover_fixed=250)), SAY)
    assert "above US$100.00: 1 parcel of the year, US$2.50 in all. US$50.00 of what parcels lost" in told


def test_stop_rule_is_said_on_both_sides() -> None:
    ran = _ran(Rules(stop_after=60))
    books = Books(HOUSE, 10, Window("year", "Last 52 weeks", 1, 11), LINES)
    (stop,) = stops(books, Extra(MORE), [60])
    told = words.assumed(ran, SAY, at_stop=stop)
    # 10.00 of post and 60 minutes at 0.70 instead of 100.00 and 90 minutes: -69.00.
    assert told[1] == "It stops no order that was not mended. It stops 1 order that was mended: -US$69.00."
    row = words.stop_row(stop, SAY)
    assert (row.minutes, row.unmended, row.mended, row.lost, row.both) == (
        "60 min",
        "0",
        "1",
        "-US$69.00",
        "-US$69.00",
    )


def test_why_an_order_changes_names_each_cause() -> None:
    one, two = _ran(Rules(stop_after=60, cover_above=10_000, cover_fixed=250)).orders
    rules = Rules(stop_after=60, cover_above=10_000, cover_fixed=250)
    assert (
        words.why(one, rules, SAY)
        == "Stopped at 60 of 70 minutes of looking; billed US$10.00 instead of US$100.00."
    )
    assert words.why(two, rules, SAY) == "US$50.00 comes back; cover US$2.50."
