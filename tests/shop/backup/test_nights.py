"""When backups are made by themselves, when one is proved, and when the owner is told."""

import datetime as dt
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from intake import house as kept_house
from intake.models import HistoryEntry, Letter, Letterhead
from quotes.refusals import Refused
from shop.backup import apart, keys, making, nights, proving, rolling
from shop.backup.faults import BackupFault
from shop.backup.state import state
from shop.models import BackupSet, RestoreDrill

AT = dt.datetime(2026, 2, 10, 9, 0, tzinfo=dt.UTC)
HOUR, DAY = dt.timedelta(hours=1), dt.timedelta(days=1)
pytestmark = pytest.mark.django_db


@pytest.fixture
def letterhead_in(bench: Any) -> Callable[[str], None]:
    def change(zone: str) -> None:
        head = Letterhead.current()
        head.pk, head.version, head.zone = None, head.version + 1, zone
        head.save(force_insert=True)
        kept_house.forget_house()

    return change


@pytest.fixture(autouse=True)
def _by_hand(letterhead_in: Callable[[str], None], house: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Backups and proofs that cost nothing, in a shop whose clock shows UTC."""
    letterhead_in("UTC")
    monkeypatch.setattr(nights, "QUIET_SECONDS", 0.0)
    monkeypatch.setattr(making, "make", lambda row: BackupSet.objects.filter(pk=row.pk).update(state="whole"))
    monkeypatch.setattr(proving, "prove", lambda backup, at: _drill(backup, at))


def _drill(backup: BackupSet | None, at: dt.datetime, drill: str = "proved", said: str = "") -> RestoreDrill:
    return RestoreDrill.objects.create(backup=backup, began_at=at, state=drill, said=said)


def _set(at: dt.datetime, kind: str = "whole", **more: Any) -> BackupSet:
    return BackupSet.objects.create(name=making.name_at(at), why="night", state=kind, began_at=at, **more)


def test_night_backs_up_once_however_often_it_is_looked() -> None:
    assert [nights.back_up(AT + n * HOUR) for n in range(-5, 3)] == [1, 0, 0, 0, 0, 0, 0, 0]
    row = BackupSet.objects.get()
    assert (row.name, row.why) == ("benchpost-20260210-040000", "night")


def test_night_that_was_slept_through_is_made_up_for(at: dt.datetime) -> None:
    _set(AT - DAY)
    assert nights.back_up(AT) == 1
    assert BackupSet.objects.first().name == "benchpost-20260210-090000"


def test_night_of_two_machines_is_one_set() -> None:
    """The other machine has just made the row of this hour, and its work has not shown yet."""
    BackupSet.objects.create(
        name="benchpost-20260210-090000", why="night", state="failed", began_at=AT - 9 * HOUR
    )
    assert nights.back_up(AT) == 0


def test_night_that_failed_is_tried_each_hour_until_it_is_made() -> None:
    _set(AT - 2 * HOUR, "failed")
    assert nights.back_up(AT) == 1


def test_night_waits_while_one_is_made_and_not_for_one_that_was_cut_off() -> None:
    running = _set(AT - HOUR, "running")
    assert nights.back_up(AT) == 0
    BackupSet.objects.filter(pk=running.pk).update(began_at=AT - 7 * HOUR)
    assert nights.back_up(AT) == 1
    running.refresh_from_db()
    assert (running.state, running.said) == ("failed", rolling.CUT_OFF)


def test_set_of_a_clock_that_was_ahead_bars_no_night_and_hides_no_age() -> None:
    for day in (3, 1):
        _set(AT - day * DAY)
    _set(AT + 300 * DAY)
    _set(AT + 300 * DAY + HOUR, "running")
    _drill(None, AT + 300 * DAY)
    found = state(AT)
    assert (found.colour, found.running) == ("amber", False)
    assert found.backup_at == AT - DAY
    assert found.proof_at is None
    assert nights.back_up(AT) == 1
    assert nights.prove(AT) == 1


def test_ask_after_a_clock_that_was_ahead_is_heard(bench: Any) -> None:
    _set(AT + 300 * DAY, "running")
    assert nights.ask(by=bench.owner, at=AT).state == "running"


def test_night_is_by_the_shops_clock_on_the_day_the_clocks_change(letterhead_in: Any) -> None:
    """Europe/London goes to summer time on 29 March 2026 at 01:00 UTC; 03:00 is then 02:00 UTC (tz database)."""
    letterhead_in("Europe/London")
    assert nights.last_night(dt.datetime(2026, 3, 29, 1, 59, tzinfo=dt.UTC)) == dt.datetime(
        2026, 3, 28, 3, tzinfo=dt.UTC
    )
    assert nights.last_night(dt.datetime(2026, 3, 29, 2, 0, tzinfo=dt.UTC)) == dt.datetime(
        2026, 3, 29, 2, tzinfo=dt.UTC
    )


def test_quiet_after_a_start_makes_none_by_itself_but_one_that_was_asked_for(
    bench: Any, monkeypatch: Any
) -> None:
    monkeypatch.setattr(nights, "QUIET_SECONDS", 1e9)
    assert nights.back_up(AT) == 0
    nights.ask(by=bench.owner, at=AT)
    assert nights.back_up(AT + HOUR / 60) == 1
    assert BackupSet.objects.get().why == "hand"
    assert HistoryEntry.objects.filter(what="backup asked for", who=bench.owner.username).count() == 1


def test_ask_while_one_is_made_is_refused(bench: Any) -> None:
    nights.ask(by=bench.owner, at=AT)
    with pytest.raises(Refused, match="being made already"):
        nights.ask(by=bench.owner, at=AT + HOUR)


def test_asked_row_is_taken_by_one(bench: Any) -> None:
    nights.ask(by=bench.owner, at=AT)
    assert nights._asked(AT) is not None
    assert nights._asked(AT) is None


def test_proof_follows_the_first_backup_and_then_each_week() -> None:
    assert nights.prove(AT) == 0, "there is nothing to prove"
    done = []
    for day in range(16):
        _set(AT + day * DAY)
        done.append(nights.prove(AT + day * DAY + HOUR))
    assert [day for day, one in enumerate(done) if one] == [0, 7, 14]


def test_proof_that_failed_is_said_and_tried_next_day(monkeypatch: Any) -> None:
    _set(AT)
    monkeypatch.setattr(
        proving, "prove", lambda backup, at: _drill(backup, at, "failed", "The file x is damaged.\nMore.")
    )
    with pytest.raises(BackupFault, match=r"^The file x is damaged.$"):
        nights.prove(AT + HOUR)
    assert nights.prove(AT + 10 * HOUR) == 0
    with pytest.raises(BackupFault):
        nights.prove(AT + 26 * HOUR)


def test_proof_without_the_key_is_left_to_another_machine(settings: Any) -> None:
    _set(AT)
    settings.BACKUP_RECIPIENTS = ["age1tn5lqqgyqrncy4yzfcckaf53yyhyqsnt4s8mrnkp4gadj5dk3frs4pw2fw"]
    assert nights.prove(AT + HOUR) == 0


def test_proof_asked_for_is_made_at_the_next_round_though_none_is_due(bench: Any, monkeypatch: Any) -> None:
    newest = _set(AT)
    _drill(newest, AT)
    assert nights.prove(AT + HOUR) == 0
    row = nights.ask_proof(by=bench.owner, at=AT + HOUR)
    assert (row.backup, row.state) == (newest, "running")
    with pytest.raises(Refused, match="under way already"):
        nights.ask_proof(by=bench.owner, at=AT + HOUR)
    told: list[Any] = []

    def proved(backup: Any, *, at: Any, drill: Any) -> Any:
        told.append((backup, drill))
        RestoreDrill.objects.filter(pk=drill.pk).update(state="proved")
        return RestoreDrill.objects.get(pk=drill.pk)

    monkeypatch.setattr(proving, "prove", proved)
    assert [nights.prove(AT + HOUR), nights.prove(AT + HOUR)] == [1, 0]
    assert told == [(newest, row)] and RestoreDrill.objects.count() == 2
    assert HistoryEntry.objects.filter(what="proof asked for", who=bench.owner.username).count() == 1


def test_proof_is_not_asked_for_where_there_is_nothing_to_prove_or_to_open_it(
    bench: Any, settings: Any
) -> None:
    with pytest.raises(Refused, match="no backup to prove yet"):
        nights.ask_proof(by=bench.owner, at=AT)
    _set(AT)
    settings.BACKUP_RECIPIENTS = ["age1tn5lqqgyqrncy4yzfcckaf53yyhyqsnt4s8mrnkp4gadj5dk3frs4pw2fw"]
    with pytest.raises(Refused, match="holds no key"):
        nights.ask_proof(by=bench.owner, at=AT)


def test_backups_that_go_with_the_disk_or_whose_key_does_are_amber(
    bench: Any, settings: Any, monkeypatch: Any
) -> None:
    _set(AT - HOUR)
    _drill(None, AT - HOUR)
    assert state(AT).colour == "amber"
    assert state(AT).sentences[:2] == (apart.NEVER_SHOWN, apart.SAME_DISK)
    nights.show_key(by=bench.owner, at=AT)
    assert state(AT).sentences[0] == apart.SAME_DISK
    monkeypatch.setattr(apart, "_on_the_same_disk", lambda: False)
    assert state(AT).colour == "green"
    assert len(state(AT).sentences) == 2


def test_disk_of_the_backups_is_told_from_the_shops(settings: Any) -> None:
    assert apart._on_the_same_disk()
    settings.BACKUP_FOLDER = Path("/dev/shm")
    assert apart._on_the_same_disk() is (settings.MEDIA_ROOT.stat().st_dev == Path("/dev/shm").stat().st_dev)
    settings.BACKUP_FOLDER = settings.DATA / "is not there"
    assert not apart._on_the_same_disk()


def test_demonstration_is_not_bothered_with_it(settings: Any) -> None:
    settings.DEMO = True
    assert apart.worries() == []


@pytest.mark.parametrize(
    ("sets", "drills", "colour", "first"),
    [
        ([], [], "red", "There is no backup yet."),
        ([(1, "whole")], [], "amber", "No backup was restored as a proof yet."),
        ([(1, "whole")], [(2, "proved")], "green", "The last backup is 60 minutes old."),
        ([(27, "whole")], [(2, "proved")], "red", "The last backup is 27 hours old; there should be one each night."),
        ([(25, "whole"), (1, "failed")], [(2, "proved")], "amber", "The newest try of a backup failed; the last whole one is 25 hours old."),
        ([(1, "whole")], [(15 * 24, "proved")], "red", "The last proof of restore is 15 days old; there should be one each week."),
        ([(1, "whole")], [(9, "proved"), (2, "failed")], "red", "The last proof of restore failed: a backup could not be shown to be good."),
        ([(15 * 24, "whole"), (1, "whole")], [], "red", "No backup was restored as a proof yet."),
    ],
)  # fmt: skip
def test_state_says_the_worst_first(
    monkeypatch: Any, sets: list[Any], drills: list[Any], colour: str, first: str
) -> None:
    monkeypatch.setattr(apart, "worries", list)
    for hours, kind in sets:
        _set(AT - hours * HOUR, kind)
    for hours, kind in drills:
        _drill(None, AT - hours * HOUR, kind)
    found = state(AT)
    assert (found.colour, found.sentences[0]) == (colour, first)


def test_warning_goes_once_a_day_to_each_address_while_it_is_red(bench: Any) -> None:
    done = [nights.warn(AT + n * HOUR) for n in range(0, 40, 5)]
    assert done == [1, 0, 0, 1, 0, 0, 0, 0]
    letters = Letter.objects.filter(kind=nights.LETTER)
    assert letters.count() == 2 * len(nights.addresses())
    assert "There is no backup yet." in letters[0].text
    _set(AT + 3 * DAY)
    assert nights.warn(AT + 3 * DAY) == 0


def test_copies_from_before_a_change_hold_who_was_erased_no_longer_than_backups_do(settings: Any) -> None:
    folder = settings.DATA / "before-change"
    folder.mkdir()
    old, young = (
        folder / "benchpost-20260101-090000-0.sqlite3",
        folder / "benchpost-20260209-090000-0.sqlite3",
    )
    for place, day in ((old, 31), (young, 29)):
        place.write_bytes(b"x")
        os.utime(place, ((AT - day * DAY).timestamp(),) * 2)
    rolling.clear_old(at=AT)
    assert [*folder.iterdir()] == [young]


def test_old_sets_go_after_thirty_days_and_the_newest_three_stay(settings: Any) -> None:
    def lay(*days: int) -> list[Path]:
        rows = [_set(AT - day * DAY) for day in days]
        places = [making.file_of(row.name) for row in rows]
        for place in places:
            place.write_bytes(b"x")
        return places

    old = lay(33, 32, 31)
    rolling.clear_old(at=AT)
    assert all(place.exists() for place in old)
    new = lay(2, 1)
    assert rolling.clear_old(at=AT) == 2
    assert [place.exists() for place in [*old, *new]] == [False, False, True, True, True]
    assert BackupSet.objects.exclude(removed_at=None).count() == 2


def test_file_that_no_kept_row_names_goes_after_thirty_days(settings: Any) -> None:
    """Work killed between the file and its row, or a database of before: they hold who was erased since as well."""
    folder = Path(settings.BACKUP_FOLDER)
    names = [making.name_at(AT - day * DAY) for day in (31.5, 31, 29, 3, 2, 1)]
    for name in names:
        (folder / f"{name}.age").write_bytes(b"x")
    (folder / "benchpost-of-somebody.age").write_bytes(b"x")
    _set(AT - 31.5 * DAY, "failed")
    kept = BackupSet.objects.create(name=names[1], why="night", state="whole", began_at=AT - DAY)
    rolling.clear_old(at=AT)
    assert {path.stem for path in folder.iterdir()} == {*names[1:], "benchpost-of-somebody"}
    kept.delete()
    rolling.clear_old(at=AT)
    assert {path.stem for path in folder.iterdir()} == {*names[2:], "benchpost-of-somebody"}


def test_newest_three_files_stay_though_no_row_names_them(settings: Any) -> None:
    """A database that was brought back knows none of the sets made since."""
    for day in (60, 50, 40):
        making.file_of(making.name_at(AT - day * DAY)).write_bytes(b"x")
    rolling.clear_old(at=AT)
    assert len(list(Path(settings.BACKUP_FOLDER).iterdir())) == 3


@pytest.mark.parametrize("several", [False, True])
def test_set_that_lies_on_another_machine_is_not_called_removed(settings: Any, several: bool) -> None:
    settings.SEVERAL_MACHINES = several
    old = [_set(AT - day * DAY) for day in (33, 32)]
    for day in (3, 2, 1):
        _set(AT - day * DAY)
    making.file_of(old[0].name).write_bytes(b"x")
    assert rolling.clear_old(at=AT) == (1 if several else 2)
    assert not making.file_of(old[0].name).exists()
    assert BackupSet.objects.filter(pk=old[1].pk, removed_at=None).exists() is several


def test_several_machines_seal_to_no_key_of_their_own(settings: Any) -> None:
    settings.SEVERAL_MACHINES = True
    with pytest.raises(BackupFault, match="BACKUP_RECIPIENTS is empty while MEDIA_STORE is set"):
        keys.sealing()
    assert not keys.can_open() and not keys.own_place().exists()
