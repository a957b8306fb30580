"""A reading beside the shop's own good boards: who counts, who does not, and what is said below three."""

from datetime import timedelta
from decimal import Decimal as D

import pytest

from quotes.known_good import judge
from quotes.models import ListWord
from quotes.verdicts import UNKNOWN
from tests import bench_orders
from tests.quotes import good_boards

ASKED = {
    "board": "Z7 main",
    "revision": "",
    "point": "PP1V8",
    "state": "",
    "mode": "diode",
    "polarity": "red on ground",
    "meter": "",
}


def ask(value="0.452", **other):
    number = None if value in ("OL", "beep", "unstable") else D(value)
    return judge(**{**ASKED, "value": number, "special": "" if number is not None else value, **other})


@pytest.fixture
def good(technician, at):
    def put(*values, **other):
        for number, value in enumerate(values):
            good_boards.kept_apart(f"G{number}", value, **{"by": technician, "at": at, **other})

    return put


@pytest.fixture
def mended(technician, at, letterhead):
    def put(value, **other):
        return good_boards.mended(value, **{"by": technician, "at": at, **other})

    return put


def test_three_good_boards_make_limits(good):
    good("0.450", "0.451", "0.453")
    judged = ask("0.452")
    assert (judged.word, judged.n, judged.expected_from) == ("ok", 3, "own good boards, n=3")
    assert judged.low < D("0.450") < D("0.453") < judged.high
    assert "own good boards, n=3" in judged.why


@pytest.mark.parametrize(
    ("value", "word"),
    [("0.4", "low"), ("0.6", "high"), ("0.004", "short"), ("OL", "open"), ("unstable", "unstable")],
)
def test_a_reading_is_judged_by_those_limits(good, value, word):
    good("0.450", "0.451", "0.453")
    assert ask(value).word == word


def test_below_three_it_says_what_there_is(good):
    good("0.450", "0.451")
    judged = ask()
    assert (judged.word, judged.n, judged.low, judged.high, judged.expected_from) == (
        UNKNOWN,
        2,
        None,
        None,
        "",
    )
    assert "Only 2 own good boards so far (0.45 V, 0.451 V); limits begin at 3." in judged.why


def test_no_good_board_and_no_board_named_say_so(good):
    assert "No own good board has this point" in ask().why
    good("0.450", "0.451", "0.453", board="")
    judged = ask(board="")
    assert judged.word == UNKNOWN
    assert "No board is named" in judged.why


def test_an_unstable_reading_is_unstable_without_good_boards(db):
    assert ask("unstable").word == "unstable"


def test_mended_orders_and_good_boards_count_together(good, mended):
    good("0.450", "0.451")
    mended("0.452")
    assert ask().n == 3


@pytest.mark.parametrize(
    "other", [{"phase": "before"}, {"verdict": "low"}], ids=["before the repair", "not found ok"]
)
def test_other_readings_of_an_order_are_no_good_ones(good, mended, other):
    good("0.450", "0.451")
    mended("0.452", **other)
    assert ask().n == 2


def test_a_shop_without_a_shelf_learns_from_the_boards_it_mended(mended):
    for value in ("0.450", "0.451", "0.452"):
        mended(value, verdict=UNKNOWN)
    assert ask("0.451").word == "ok"
    assert ask("0.451").n == 3


def test_an_order_that_was_not_fixed_is_no_good_board(good, mended):
    good("0.450", "0.451")
    row = mended("0.452")
    type(row.order).objects.filter(pk=row.order_id).update(outcome="part fixed")
    assert ask().n == 2


def test_a_superseded_reading_is_no_good_one(good, mended):
    good("0.450", "0.451")
    first = mended("0.300")
    second = mended("0.452", order=first.order)
    type(first).objects.filter(pk=first.pk).update(superseded_by=second)
    judged = ask()
    assert (judged.n, judged.word) == (3, "ok")
    assert judged.low > D("0.4")


def test_one_board_counts_once_with_its_newest_reading(good, technician, at):
    good("0.450", "0.451", "0.453")
    good_boards.kept_apart("g-0", "0.455", by=technician, at=at + timedelta(hours=1))
    assert ask().n == 3


def test_a_comeback_is_the_same_board(good, mended):
    good("0.450", "0.451")
    first, second = mended("0.452"), mended("0.453")
    type(second.order).objects.filter(pk=second.order_id).update(comeback_of=first.order)
    assert ask().n == 3


def test_no_board_judges_itself(good, mended):
    good("0.450", "0.451")
    row = mended("0.452")
    assert ask(at_order=row.order).n == 2


def test_a_board_that_came_back_twice_is_one_board_and_never_its_own_judge(good, mended):
    good("0.450", "0.451")
    first, second, third = (mended(value).order for value in ("0.452", "0.453", "0.454"))
    for later, before in ((second, first), (third, second)):
        later.comeback_of = before
        later.save(update_fields=["comeback_of"])
    assert ask().n == 3
    assert ask(at_order=third).n == 2


def test_a_struck_reading_counts_no_more(good, technician, at):
    good("0.450", "0.451")
    row = good_boards.kept_apart("G9", "0.452", by=technician, at=at)
    type(row).objects.filter(pk=row.pk).update(struck_at=at, struck_why="wrong board")
    assert ask().n == 2


@pytest.mark.parametrize(
    "other",
    [
        {"polarity": "black on ground"},
        {"mode": "volts", "polarity": ""},
        {"board": "Z8 main"},
        {"point": "PP3V0"},
        {"state": "booted"},
        {"meter": "the blue one"},
        {"revision": "B"},
    ],
)
def test_what_differs_never_compares(good, other):
    good("0.450", "0.451", "0.453", revision="A")
    assert ask(**{"revision": "A", **other}).n == 0


def test_a_revision_that_is_not_named_compares(good):
    good("0.450", "0.451", "0.453", revision="A")
    assert ask().n == 3


def test_spellings_and_merged_words_are_one_board(good, technician, at):
    good("0.450", board="z7-MAIN", point="pp 1v8")
    good_boards.kept_apart("G8", "0.451", by=technician, at=at, board="Zarnik 7 board")
    good_boards.kept_apart("G9", "0.453", by=technician, at=at)
    assert ask().n == 2
    stays = ListWord.objects.create(kind="board", name="Z7 main", folded="z7main", made_at=at)
    ListWord.objects.create(
        kind="board", name="Zarnik 7 board", folded="zarnik7board", merged_into=stays, made_at=at
    )
    assert ask().n == 3


def test_another_meter_counts_only_where_both_offsets_are_known(good, technician, at):
    good("0.460", "0.461", "0.463", meter="Blue")
    judged = ask("0.452", meter="Red")
    assert judged.n == 0
    assert "3 more were taken with another meter whose offset is not known." in judged.why
    good_boards.meter("Blue", by=technician, at=at, amount="0.015")
    assert ask("0.452", meter="Red").n == 0
    good_boards.meter("Red", by=technician, at=at, amount="0.005")
    judged = ask("0.452", meter="red")
    assert (judged.n, judged.word) == (3, "ok")
    assert judged.low < D("0.451") < judged.high
    assert (judged.low + judged.high) / 2 == D("0.451")


def test_the_newest_offset_holds_and_only_in_its_mode(good, technician, at):
    good("0.460", "0.461", "0.463", meter="Blue")
    good_boards.meter("Red", by=technician, at=at, amount="0")
    good_boards.meter("Blue", by=technician, at=at, mode="volts", amount="0.01")
    assert ask(meter="Red").n == 0
    good_boards.meter("Blue", by=technician, at=at, amount="0.5")
    good_boards.meter("Blue", by=technician, at=at + timedelta(days=1), amount="0.01")
    judged = ask(meter="Red")
    assert (judged.low + judged.high) / 2 == D("0.451")


def test_over_limit_is_expected_where_most_good_boards_show_it(good):
    good("OL", "OL", "0.9", "OL")
    judged = ask("OL")
    assert (judged.word, judged.expected_special, judged.low) == ("ok", "OL", None)
    assert "3 of 4 good boards show OL" in judged.why
    assert ask("0.9").word == "low"


def test_good_boards_that_do_not_agree_make_no_limits(good):
    good("OL", "OL", "0.450", "0.452")
    judged = ask()
    assert (judged.word, judged.n) == (UNKNOWN, 4)
    assert "do not agree" in judged.why


def test_a_lone_over_limit_among_numbers_is_said(good):
    good("OL", "0.450", "0.451", "0.452")
    judged = ask()
    assert (judged.word, judged.n) == ("ok", 4)
    assert "1 of 4 good boards show no number here" in judged.why


def test_an_unstable_good_board_is_none(good):
    good("unstable", "0.450", "0.451")
    assert ask().n == 2


def test_a_verdict_takes_three_queries_however_many_rows(
    good, mended, technician, at, django_assert_num_queries
):
    good(*["0.450"] * 30, meter="Blue")
    good_boards.meter("Blue", by=technician, at=at, amount="0.01")
    for _ in range(3):
        mended("0.451")
    order = bench_orders.at_diagnosis(by=technician, at=at, key="asked")
    with django_assert_num_queries(3):
        assert ask(at_order=order).n == 3
