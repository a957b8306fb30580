"""Minutes on the sheet: one button that starts, stops and switches; asked when idle; mended; scanned from a card."""

import re
from datetime import timedelta

import pytest

from intake.models import HistoryEntry
from intake.stations import Station
from shop.bench import work
from shop.models import WorkSession
from shop.traveller.commands import read_command
from tests import walk

MINUTE = timedelta(minutes=1)


@pytest.fixture
def order(bench, at):
    return walk.to(walk.request(at=at), Station.QUOTE, by=bench.technician, at=at)


@pytest.fixture
def clock(monkeypatch, at):
    """Sets how many minutes after the fixed moment it is."""

    def later(minutes):
        monkeypatch.setattr("intake.drain.now", lambda: at + minutes * MINUTE)
        monkeypatch.setattr("django.utils.timezone.now", lambda: at + minutes * MINUTE)

    later(0)
    return later


def post(staff, order, deed="minutes", **given):
    return staff.post(f"/sheet/{order.code}/{deed}/", given)


def page(staff, order):
    return staff.get(f"/sheet/{order.code}/").content.decode()


def test_sheet_at_the_desk_has_the_switch_for_talking(staff, order, clock):
    text = page(staff, order)
    assert 'data-key="F7"' in text and "Start the minutes" in text
    post(staff, order, go="start")
    assert WorkSession.objects.get(ended_at__isnull=True).kind == "talk"
    clock(12)
    text = page(staff, order)
    assert "Talking and paper since" in text and ">0:12<" in text
    assert text.count('data-key="F7"') == 1


def test_start_on_another_order_says_what_stopped(staff, bench, order, at, clock):
    other = walk.receive(walk.request(at=at), by=bench.technician, at=at)
    post(staff, other, go="start")
    clock(12)
    assert "Switch the minutes here" in page(staff, order)
    answer = staff.post(f"/sheet/{order.code}/minutes/", {"go": "start", "kind": "test"}, follow=True)
    assert f"Stopped on {other.code} after 12 minutes. The minutes of testing run." in answer.content.decode()
    assert work.minutes_of(other, "look") == 12


def test_forgotten_clock_is_said_to_end_at_the_last_deed(staff, bench, order, at, clock):
    other = walk.receive(walk.request(at=at), by=bench.technician, at=at)
    post(staff, other, go="start")
    clock(10)
    post(
        staff, other, "minutes/write", **{"minutes-kind": "talk", "minutes-minutes": "1", "minutes-note": "x"}
    )
    clock(23 * 60)
    answer = staff.post(f"/sheet/{order.code}/minutes/", {"go": "start", "kind": "test"}, follow=True)
    said = answer.content.decode()
    assert f"Stopped on {other.code} after 10 minutes, at the last deed there, " in said
    assert "the clock looked forgotten." in said and "after 720" not in said


def test_kind_is_switched_on_the_same_sheet(staff, order, clock):
    post(staff, order, go="start")
    clock(5)
    post(staff, order, go="start", kind="look")
    assert list(WorkSession.objects.filter(by_hand=False).values_list("kind", "minutes")) == [
        ("talk", 5),
        ("look", 0),
    ]


def test_unknown_kind_is_refused_in_words(staff, order):
    answer = staff.post(f"/sheet/{order.code}/minutes/", {"go": "start", "kind": "nap"}, follow=True)
    assert "Choose what the minutes are for." in answer.content.decode()
    assert not WorkSession.objects.filter(ended_at__isnull=True).exists()


def test_minutes_by_hand_need_a_word_and_count_once(staff, order, clock):
    before = work.minutes_of(order)
    given = {"minutes-minutes": "15", "minutes-kind": "talk", "minutes-note": ""}
    refused = post(staff, order, "minutes/write", **given)
    assert refused.status_code == 422
    text = refused.content.decode()
    assert "Say in a few words what the minutes were for." in text and 'value="15"' in text
    for _ in range(2):
        assert (
            post(staff, order, "minutes/write", **given | {"minutes-note": "On the phone"}).status_code == 303
        )
    assert work.minutes_of(order) == before + 15
    assert HistoryEntry.objects.filter(what="minutes by hand").count() == 1


@pytest.mark.parametrize("typed", ["0", "721", "-3", "ten", ""])
def test_minutes_by_hand_out_of_bounds_are_refused_beside_the_field(staff, order, typed):
    given = {"minutes-minutes": typed, "minutes-kind": "talk", "minutes-note": "x"}
    answer = post(staff, order, "minutes/write", **given)
    assert answer.status_code == 422 and 'id="id_minutes-minutes_error"' in answer.content.decode()


def test_idle_minutes_are_asked_about_on_every_page(staff, order, clock):
    post(staff, order, go="start")
    clock(19)
    assert re.search(r"data-idle-at=[^>]* hidden>", staff.get("/stock/").content.decode())
    clock(20)
    text = staff.get("/stock/").content.decode()
    assert "Still on it?" in text and not re.search(r"data-idle-at=[^>]* hidden>", text)


def asked(staff, answer, back="/stock/"):
    pk = WorkSession.objects.get(ended_at__isnull=True).pk
    return staff.post("/bench/still-on-it/", {"session": pk, "answer": answer, "back": back})


def test_yes_goes_on_and_is_not_asked_again_at_once(staff, order, clock):
    post(staff, order, go="start")
    clock(25)
    assert asked(staff, "yes").headers["Location"] == "/stock/"
    assert re.search(r"data-idle-at=[^>]* hidden>", staff.get("/stock/").content.decode())
    assert WorkSession.objects.filter(ended_at__isnull=True).exists()


def test_deed_on_the_sheet_puts_the_question_off(staff, order, clock):
    post(staff, order, go="start")
    clock(15)
    answer = staff.post(f"/sheet/{order.code}/hold/", {"slip-reason": "for a part"})
    assert answer.status_code == 303
    clock(30)
    assert re.search(r"data-idle-at=[^>]* hidden>", page(staff, order))
    asked(staff, "last")
    assert WorkSession.objects.get(seen_at__isnull=False).minutes == 15


def test_stop_now_counts_to_now_and_never_leads_away(staff, order, clock):
    post(staff, order, go="start")
    clock(30)
    answer = asked(staff, "now", back="https://elsewhere.example/")
    assert answer.headers["Location"] == "/bench/"
    assert WorkSession.objects.get(seen_at__isnull=False).minutes == 30


def test_late_answer_about_minutes_that_ended_stops_no_others(staff, order, clock):
    post(staff, order, go="start", kind="look")
    old = WorkSession.objects.get(ended_at__isnull=True)
    clock(30)
    post(staff, order, go="start", kind="repair")
    staff.post("/bench/still-on-it/", {"session": old.pk, "answer": "now"})
    assert WorkSession.objects.get(ended_at__isnull=True).kind == "repair"


def test_question_about_what_another_person_runs_is_not_answered(staff, bench, order, at):
    theirs = work.start(order=order, kind="look", by=bench.owner, at=at)
    answer = staff.post("/bench/still-on-it/", {"session": theirs.pk, "answer": "now"})
    assert answer.status_code == 404
    assert staff.post("/bench/still-on-it/", {"session": "9" * 30}).status_code == 404


@pytest.fixture
def new_york(letterhead_zone):
    return letterhead_zone("America/New_York")


@pytest.fixture
def letterhead_zone(bench):
    from intake.models import Letterhead
    from shop import guard

    def put(zone):
        Letterhead.objects.filter(pk=Letterhead.current().pk).update(zone=zone)
        guard.forget_zone()

    return put


def mend(staff, session, **given):
    return staff.post(f"/bench/minutes/{session.pk}/", {"why": "Forgot to stop", **given})


def test_forgotten_clock_shows_on_its_sheet_and_is_mended(staff, bench, order, at, clock, new_york):
    session = work.start(order=order, kind="look", by=bench.technician, at=at)
    clock(300)
    assert "It looks forgotten" in page(staff, order)
    form = staff.get(f"/bench/minutes/{session.pk}/").content.decode()
    assert 'value="2026-02-02T04:00"' in form  # 09:00 UTC as New York reads it
    answer = mend(staff, session, started="2026-02-02T04:00", ended="2026-02-02T05:30")
    assert answer.status_code == 303
    session.refresh_from_db()
    assert (session.minutes, session.mended_why) == (90, "Forgot to stop")
    assert "Mended, the clock said" in page(staff, order)


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"ended": ""}, "Write when it ended."),
        ({"ended": "soon"}, "Write the day and the time"),
        ({"ended": "2026-02-02T03:00"}, "That is before the start."),
        ({"ended": "2026-02-03T03:00"}, "That is still to come."),
        ({"why": ""}, "Say in a few words why the time is mended."),
    ],
)
def test_mend_that_cannot_be_stays_on_the_page(staff, bench, order, at, clock, new_york, given, said):
    session = work.start(order=order, kind="look", by=bench.technician, at=at)
    clock(300)
    answer = mend(staff, session, **{"started": "2026-02-02T04:00", "ended": "2026-02-02T05:30"} | given)
    assert answer.status_code == 422 and said in answer.content.decode()
    session.refresh_from_db()
    assert session.ended_at is None


def test_mend_in_the_hour_that_comes_twice_means_the_one_after_the_start(
    staff, bench, order, at, monkeypatch, new_york
):
    # The clocks went back on 1 November 2026 at 06:00 UTC: 01:30 came at 05:30 and at 06:30 UTC (tz database).
    begin = at.replace(month=11, day=1, hour=5, minute=50)
    monkeypatch.setattr("intake.drain.now", lambda: begin + 120 * MINUTE)
    session = work.start(order=order, kind="look", by=bench.technician, at=begin)
    assert mend(staff, session, started="2026-11-01T01:50", ended="2026-11-01T01:30").status_code == 303
    session.refresh_from_db()
    assert (session.started_at, session.minutes) == (begin, 40)


def test_mend_in_the_hour_that_never_was_is_refused(staff, bench, order, at, monkeypatch, new_york):
    begin = at.replace(month=3, day=8, hour=6)
    monkeypatch.setattr("intake.drain.now", lambda: begin + 180 * MINUTE)
    session = work.start(order=order, kind="look", by=bench.technician, at=begin)
    answer = mend(staff, session, started="2026-03-08T01:00", ended="2026-03-08T02:30")
    assert "it never was" in answer.content.decode()


def test_unchanged_times_keep_their_seconds(staff, bench, order, at, clock):
    session = work.start(order=order, kind="look", by=bench.technician, at=at + timedelta(seconds=30))
    work.stop(by=bench.technician, at=at + timedelta(minutes=20, seconds=45))
    clock(60)
    fields = dict(
        re.findall(
            r'name="(started|ended)" value="([^"]+)"',
            staff.get(f"/bench/minutes/{session.pk}/").content.decode(),
        )
    )
    assert mend(staff, session, started=fields["started"], ended=fields["ended"]).status_code == 303
    session.refresh_from_db()
    assert (session.started_at.second, session.ended_at.second, session.minutes) == (30, 45, 21)


@pytest.mark.parametrize(
    ("typed", "command"),
    [
        ("GO-LOOK", "GO-LOOK"),
        (" go-stop ", "GO-STOP"),
        ("GO REPAIR", "GO-REPAIR"),
        ("gotest", "GO-TEST"),
        ("GO-HOME", ""),
        ("GOLDEN", ""),
        ("", ""),
    ],
)
def test_command_is_read_as_scanners_type_it(typed, command):
    assert read_command(typed) == command


def test_scanned_command_without_script_shows_its_button_and_does_nothing(staff, order):
    before = f"http://testserver/sheet/{order.code}/"
    text = staff.get("/find/?q=GO-REPAIR", HTTP_REFERER=before).content.decode()
    assert f'action="/sheet/{order.code}/minutes/"' in text
    assert re.search(r'name="kind" value="repair"', text) and "Start the minutes of repairing" in text
    assert not WorkSession.objects.filter(ended_at__isnull=True).exists()


def test_scanned_command_without_a_sheet_asks_for_one(staff, order):
    assert "Scan the sheet first" in staff.get("/find/?q=GO-REPAIR").content.decode()
    assert "Scan the sheet first" in staff.get("/find/?q=GO-TEST", HTTP_REFERER="http://[/").content.decode()
    assert "Nothing is running." in staff.get("/find/?q=GO-STOP").content.decode()


def test_scanned_stop_stops_what_runs_wherever_that_is(staff, bench, order, at):
    work.start(order=order, kind="look", by=bench.technician, at=at)
    text = staff.get("/find/?q=GO-STOP").content.decode()
    assert f'action="/sheet/{order.code}/minutes/"' in text and 'value="stop"' in text


def test_card_of_commands_is_one_page_for_staff(staff, client, db):
    answer = staff.get("/bench/card/")
    assert answer.headers["Content-Type"] == "application/pdf"
    assert answer.content.count(b"/Type /Page\n") + answer.content.count(b"/Type /Page/") <= 1
    assert client.get("/bench/card/").status_code == 302


def test_deed_by_script_puts_the_question_off_and_a_refused_one_does_not(staff, bench, at, clock):
    order = walk.receive(walk.request(at=at), by=bench.technician, at=at)
    session = work.start(order=order, kind="look", by=bench.technician, at=at)
    clock(15)
    post(staff, order, "minutes/write", **{"minutes-minutes": "0"})
    session.refresh_from_db()
    assert session.seen_at == at
    kept = staff.post(
        f"/sheet/{order.code}/finding/keep/", {"cause": "Drop"}, headers={"x-requested-with": "benchpost"}
    )
    assert kept.status_code == 200
    session.refresh_from_db()
    assert session.seen_at == at + 15 * MINUTE
