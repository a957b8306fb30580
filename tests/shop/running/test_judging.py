"""What is red, what is amber, and in which words."""

import datetime as dt

import pytest

from shop.running.judging import AMBER, RED, Facts, Room, Work, age, judge, verdict

AT = dt.datetime(2026, 2, 2, 9, 0, tzinfo=dt.UTC)
MINUTE = dt.timedelta(minutes=1)
GB = 10**9


def said(**known):
    return [(one.colour, one.part, one.words) for one in judge(Facts(at=AT, **known))]


def work(name="reminders", ago=None, **more):
    return Work(name, MINUTE, done_at=None if ago is None else AT - ago * MINUTE, **more)


def test_nothing_wrong_is_said_as_yes():
    assert said() == []
    assert verdict([]).startswith("Yes.")


@pytest.mark.parametrize(("minutes", "late"), [(10, False), (11, True)])
def test_letters_are_late_after_ten_minutes(minutes, late):
    found = said(waiting=3, waiting_since=AT - minutes * MINUTE)
    words = f"Letters wait: 3 in all, the oldest for {minutes} minutes."
    assert found == ([(RED, "late", words)] if late else [])


@pytest.mark.parametrize(("number", "begins"), [(1, "1 letter cannot"), (2, "2 letters cannot")])
def test_letter_that_cannot_be_put_together_fails_at_once(number, begins):
    [(colour, part, words)] = said(not_ready=number)
    assert (colour, part, words[: len(begins)]) == (RED, "failing", begins)


@pytest.mark.parametrize(("minutes", "late"), [(5, False), (6, True)])
def test_one_kind_of_work_is_late_after_five_minutes(minutes, late):
    found = said(works=(work(ago=minutes), work("lapsed", ago=1)))
    assert found == (
        [(RED, "late", f"Reminding of quotes is late: last done {minutes} minutes ago.")] if late else []
    )


def test_clock_that_stands_is_one_sentence():
    found = said(works=(work(ago=30), work("lapsed", ago=31)))
    assert found == [
        (RED, "late", "The clock stands: nothing of its work was done for 30 minutes. Start the house again.")
    ]


def test_clock_of_a_house_just_opened_is_no_alarm():
    assert said(works=(work(), work("lapsed"))) == [
        (AMBER, "late", "The clock has not gone round yet since the house was set up.")
    ]


def test_long_work_has_its_own_time():
    day = dt.timedelta(days=1)
    fresh = Work("history", day, long=True, done_at=AT - dt.timedelta(hours=25))
    old = Work("history", day, long=True, done_at=AT - dt.timedelta(hours=25, minutes=1))
    assert said(works=(fresh,)) == []
    assert said(works=(old,)) == [
        (RED, "late", "Checking that the history is whole is late: last done 25 hours ago.")
    ]


def test_work_that_fails_is_said_until_it_is_well_again():
    failing = work(ago=3, fault_at=AT - 2 * MINUTE, fault="OSError: full")
    mended = work(ago=1, fault_at=AT - 2 * MINUTE, fault="OSError: full")
    assert said(works=(failing,)) == [
        (
            RED,
            "failing",
            (
                "Reminding of quotes fails, last 2 minutes ago. It is tried again by itself. "
                "If this line stays, show it to whoever looks after the machine: OSError: full"
            ),
        )
    ]
    assert said(works=(mended,)) == []


@pytest.mark.parametrize(
    ("free", "whole", "tight"),
    [(GB, 10 * GB, False), (GB - 1, 10 * GB, True), (5 * GB, 100 * GB, False), (5 * GB - 1, 100 * GB, True)],
)
def test_room_is_little_under_a_gigabyte_or_a_twentieth(free, whole, tight):
    assert bool(said(rooms=(Room("letters", free, whole),))) is tight


def test_red_comes_before_amber_and_the_verdict_counts_both():
    found = judge(
        Facts(
            at=AT,
            late_promises=1,
            stuck=2,
            card_reports=2,
            backup=(AMBER, ("No backup was restored as a proof yet.",)),
        )
    )
    assert [one.colour for one in found] == [RED, AMBER, AMBER, AMBER]
    assert verdict(found) == "No: 1 thing needs you now, and 3 things want a look."
    assert verdict(found[1:2]) == "Nearly: 1 thing wants a look."


@pytest.mark.parametrize(
    ("minutes", "words"),
    [
        (0, "less than a minute"),
        (1, "1 minute"),
        (119, "119 minutes"),
        (120, "2 hours"),
        (2879, "47 hours"),
        (2880, "2 days"),
    ],
)
def test_age_is_said_in_the_largest_unit_that_says_at_least_two(minutes, words):
    assert age(minutes * MINUTE) == words
