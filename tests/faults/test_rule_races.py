"""Four at once on one slip, one setting, one count, one refund, one closing: one effect each, no lock error, both engines."""

import datetime as dt
from collections import Counter

import pytest

from tests.faults.test_races import no_errors

pytestmark = [pytest.mark.faults, pytest.mark.long]
RACERS = 4


def test_slip_put_on_and_taken_off_by_four_is_one_slip(nurse, size):
    orders = nurse.call("ready_requests", count=size(8, 1000))
    put = nurse.race("put_slip", orders, racers=RACERS)
    no_errors(put)
    assert all(len(set(row)) == 1 for row in put)
    off = nurse.race("take_slip_off", orders, racers=RACERS)
    no_errors(off)
    assert all(Counter(row) == {"done": 1, "gone": RACERS - 1} for row in off)
    assert nurse.each("slip_after", pk=orders) == [[1, 0, 2]] * len(orders)


@pytest.mark.parametrize("which", ["letterhead", "rates", "hours", "plan"])
def test_setting_saved_by_four_over_the_same_version_is_one_version_more(nurse, size, which):
    before, rounds = nurse.call("versions_now")[which], size(4, 1000)
    subjects = [[which, before + number] for number in range(rounds)]
    said = nurse.race("change_setting", subjects, racers=RACERS)
    no_errors(said)
    assert all(Counter(row) == {"done": 1, "Outdated": RACERS - 1} for row in said)
    versions = nurse.call("setting_rows", which=which)
    assert versions == list(range(versions[0], before + rounds + 1))


def test_excess_paid_back_by_four_goes_back_once(nurse, size):
    orders = nurse.call("ready_overpaid", count=size(4, 1000))
    rounds = nurse.race("pay_back", orders, racers=RACERS)
    no_errors(rounds)
    assert all(Counter(row) == {"done": 1, "Refused": RACERS - 1} for row in rounds)
    assert [sorted(paid) for paid in nurse.each("paid_after", pk=orders)] == [["-5.00", "5.00"]] * len(orders)


def test_fresh_link_asked_for_by_four_is_one_letter(nurse, size):
    """A fault would tell a stranger that code and address belong together."""
    orders = nurse.call("ready_requests", count=size(8, 1000))
    rounds = nurse.race("ask_fresh_link", orders, racers=RACERS)
    assert all(row == ["done"] * RACERS for row in rounds), rounds
    # Two, where the ten minutes end between the presses.
    assert set(nurse.each("fresh_links_of", pk=orders)) <= {1, 2}


def test_bin_counted_by_four_is_set_right_once(nurse, size):
    parts = nurse.call("ready_bins", count=size(8, 1000))
    rounds = nurse.race("count_bin", parts, racers=RACERS)
    no_errors(rounds)
    assert all(Counter(row) == {"done": 1, "agrees": RACERS - 1} for row in rounds)
    assert nurse.each("bin_after", pk=parts) == [[2, 1]] * len(parts)


def test_day_closed_by_four_is_closed_once(nurse, size):
    """Days long before anything was booked, so that nobody else's entries meet a closed day."""
    last = dt.date.fromisoformat(nurse.call("last_closed"))
    days = [(last + dt.timedelta(days=1 + number)).isoformat() for number in range(size(4, 1000))]
    rounds = nurse.race("close_day", days, racers=RACERS)
    no_errors(rounds)
    assert all(Counter(row) == {"done": 1, "Refused": RACERS - 1} for row in rounds)
    assert nurse.each("closings_of", day=days) == [1] * len(days)
    assert nurse.call("chain") is None
