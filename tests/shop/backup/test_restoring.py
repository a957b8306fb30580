"""A backup of a walked shop, put back: equal row for row and file for file, quiet, and damaged only with a sentence."""

import datetime as dt
import sqlite3
import tarfile
from collections.abc import Iterator
from io import BytesIO, StringIO
from pathlib import Path
from typing import Any

import psycopg
import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from PIL import Image

from intake import album, file_store
from intake.models import Customer, Letter, Photo
from intake.stations import Station
from shop.backup import (
    age_keys,
    checks,
    copies,
    keys,
    making,
    media,
    postgres_copy,
    proving,
    restoring,
    sealed,
)
from shop.backup.faults import BackupFault
from shop.backup.restoring import Place
from shop.keeping import tombstones
from shop.models import BackupSet, RestoreDrill
from shop.setup import database
from tests import walk
from tests.files import stored_path

# The copy is opened by the real clock, under which links given out long ago have ended.
AT = dt.datetime.now(dt.UTC).replace(microsecond=0) - dt.timedelta(hours=1)
MARK = "Gullwing-Mark-4711"
pytestmark = pytest.mark.django_db(transaction=True)
POSTGRES = connection.vendor == "postgresql"


@pytest.fixture
def shop(bench: Any, house: Path) -> Any:
    """Orders at three stations, a photo, papers drawn; what a customer wrote bears a mark."""
    call_command("createcachetable", verbosity=0)
    for station in (Station.GOODS_IN, Station.GO_AHEAD, Station.HOME):
        order = walk.to(walk.request(at=AT, words=f"It hums. {MARK}"), station, by=bench.technician, at=AT)
    picture = BytesIO()
    Image.new("RGB", (64, 64), "teal").save(picture, "JPEG")
    album.add_photo(
        order=order, content=picture.getvalue(), role="arrival", by=bench.technician.username, at=AT
    )
    return bench


@pytest.fixture
def place(tmp_path: Path) -> Iterator[Place]:
    """Where a copy may stand, gone afterwards."""
    if not POSTGRES:
        yield Place(tmp_path / "copy")
        return
    where, name = postgres_copy.address(connection.settings_dict), f"scratch_copy_{tmp_path.stat().st_ino}"
    made = postgres_copy.make_beside(where, name)
    yield Place(tmp_path / "copy", proving._url(made))
    postgres_copy.drop_beside(where, name)


def make() -> Path:
    row = BackupSet.objects.create(name=making.name_at(dt.datetime.now(dt.UTC)), why="hand", began_at=AT)
    making.make(row)
    return making.file_of(row.name)


def ask(place: Place, question: str) -> list[Any]:
    if POSTGRES:
        with psycopg.connect(**place.postgres) as link:
            return link.execute(question).fetchall()
    with sqlite3.connect(place.folder / restoring.DATABASE_FILE) as link:
        return link.execute(question).fetchall()


def test_backup_put_back_is_equal_and_mails_nothing(shop: Any, house: Path, place: Place) -> None:
    waiting = Letter.objects.filter(state="pending").count()
    file = make()
    assert MARK.encode() not in file.read_bytes() and file.stat().st_mode & 0o777 == 0o600
    assert not list(house.glob("backup-work-*")), "nothing lies about unsealed"

    restored = restoring.restore(file, place, keys.opening())
    assert restored.differences == ()
    assert restored.manifest.facts.rows > 500 and len(restored.manifest.media) >= 1
    assert ask(place, f"SELECT COUNT(*) FROM intake_order WHERE words LIKE '%{MARK}%'") == [(3,)]
    for name in file_store.names():
        assert (place.folder / "media" / name).read_bytes() == file_store.open_named(name).read()
    inside = {path.name for path in place.folder.rglob("*") if path.is_file()}
    assert not inside & {"secret.key", "code.keys", "backup.key"}, "keys are kept apart"

    tombstones.keep(Customer.objects.get().pk, at=dt.datetime.now(dt.UTC), digest="")
    done = restoring.settle(restored, to_work=False, erased=tombstones.place(), at=AT)
    assert waiting and (done["held"], done["erased"]) == (waiting, 1)
    assert ask(place, f"SELECT COUNT(*) FROM intake_order WHERE words LIKE '%{MARK}%'") == [(0,)]
    told = copies.inside(place.folder, place.database, "prove", {"at": AT.isoformat(), "gone": []})
    assert [sentence for held, sentence in told["said"] if not held] == []
    assert ask(place, "SELECT COUNT(*) FROM intake_letter WHERE state IN ('pending', 'claimed')") == [(0,)]
    assert Letter.objects.filter(state="pending").count() == waiting, "the shop's own letters still go"


def test_restore_cut_off_before_it_is_settled_can_be_opened_by_nobody(
    shop: Any, house: Path, place: Place, monkeypatch: Any, settings: Any
) -> None:
    """Its letters wait as they did then: opened as it lies, it would send them all again."""

    def killed(*_: Any, **__: Any) -> None:
        raise BackupFault("The copy could not be used: killed")

    file, inside = make(), copies.inside
    monkeypatch.setattr(copies, "inside", killed)
    with pytest.raises(CommandError, match="killed"):
        call_command(
            "restore", str(file), into=str(place.folder), database=place.database, nobody_erased=True
        )
    assert ask(place, "SELECT COUNT(*) FROM intake_letter WHERE state = 'pending'") != [(0,)]
    if POSTGRES:
        assert ask(place, "SELECT COUNT(*) FROM half_restored") == [(0,)]
    settings.DATA = place.folder
    for opened in (database.refuse_any_other, lambda: database.bring_up_to_date(AT)):
        with pytest.raises(database.HalfRestored, match="A restore of this shop was cut off"):
            opened()
    with pytest.raises(CommandError, match="it would send old letters again"):
        call_command("drain_letters")
    with pytest.raises(BackupFault, match="holds a restore that was cut off"):
        restoring.restore(file, place, [])
    settings.DATA = house
    monkeypatch.setattr(copies, "inside", inside)


def test_restore_that_was_settled_bears_no_mark(shop: Any, house: Path, place: Place) -> None:
    call_command(
        "restore",
        str(make()),
        into=str(place.folder),
        database=place.database,
        nobody_erased=True,
        stdout=StringIO(),
    )
    assert not (place.folder / restoring.HALF).exists()
    if POSTGRES:
        assert ask(place, "SELECT COUNT(*) FROM pg_tables WHERE tablename = 'half_restored'") == [(0,)]


@pytest.mark.skipif(not POSTGRES, reason="a SQLite file lies in the folder that bears the mark")
def test_database_of_a_restore_that_was_cut_off_is_refused_on_every_machine(house: Path) -> None:
    where = postgres_copy.address(connection.settings_dict)
    postgres_copy.mark(where)
    try:
        with pytest.raises(database.HalfRestored):
            database.refuse_any_other()
    finally:
        postgres_copy.take_mark_off(where)
    database.refuse_any_other()


def test_list_of_erasures_is_read_whatever_its_file_was_called(
    shop: Any, house: Path, place: Place, tmp_path: Path
) -> None:
    file, copy = make(), tmp_path / "erased-copy-2026.txt"
    tombstones.keep(Customer.objects.get().pk, at=dt.datetime.now(dt.UTC), digest="")
    tombstones.place().rename(copy)
    call_command(
        "restore",
        str(file),
        into=str(place.folder),
        database=place.database,
        erased=str(copy),
        stdout=(said := StringIO()),
    )
    assert "1 erasure done again" in said.getvalue()
    assert ask(place, f"SELECT COUNT(*) FROM intake_order WHERE words LIKE '%{MARK}%'") == [(0,)]


def test_restore_without_a_list_of_erasures_wants_a_word(bench: Any, house: Path, place: Place) -> None:
    file = make()
    with pytest.raises(CommandError, match="people who were erased since this backup would come back"):
        call_command("restore", str(file), into=str(place.folder), database=place.database)
    assert not place.folder.exists()
    with pytest.raises(CommandError, match="not both"):
        call_command("restore", str(file), into=str(place.folder), erased="x", nobody_erased=True)


def test_copy_differs_when_a_row_or_a_file_was_changed(shop: Any, place: Place, monkeypatch: Any) -> None:
    """The change is made between the unpacking and the comparing."""
    photo = Photo.objects.get()
    said = _compared_after(
        make(),
        place,
        monkeypatch,
        "UPDATE intake_customer SET name = 'Somebody Else' WHERE id = (SELECT MIN(id) FROM intake_customer)",
    )
    assert said == (
        "Table intake_customer has 1 row, but not the same.",
        f"The file photos/{photo.sha256[:2]}/{photo.sha256}.jpg is missing.",
    )


def _compared_after(file: Path, place: Place, monkeypatch: Any, change: str) -> tuple[str, ...]:
    where = restoring.postgres_copy if POSTGRES else restoring.sqlite_copy
    read = where.facts

    def changed(target: Any) -> Any:
        if POSTGRES:
            with psycopg.connect(**place.postgres) as link:
                link.execute(change)
        else:
            with sqlite3.connect(target) as link:
                link.execute(change)
            link.close()
        return read(target)

    monkeypatch.setattr(where, "facts", changed)
    monkeypatch.setattr(restoring._Taken, "_one", _skipping(restoring._Taken._one))
    return restoring.restore(file, place, keys.opening()).differences


def _skipping(one: Any) -> Any:
    return lambda self, name, file: None if "photos/" in name else one(self, name, file)


def test_restore_into_what_is_not_empty_is_refused_and_leaves_it(
    bench: Any, house: Path, place: Place
) -> None:
    file = make()
    place.folder.mkdir()
    (place.folder / "mine.txt").write_text("mine")
    with pytest.raises(BackupFault, match="is not an empty folder"):
        restoring.restore(file, place, keys.opening())
    assert [path.name for path in place.folder.iterdir()] == ["mine.txt"]


@pytest.mark.parametrize("damage", ["flipped", "cut", "another key", "no list", "a way out"])
def test_restore_of_what_is_damaged_leaves_nothing(
    bench: Any, house: Path, place: Place, damage: str
) -> None:
    file = make()
    whole, opening = bytearray(file.read_bytes()), keys.opening()
    if damage == "flipped":
        whole[len(whole) // 2] ^= 1
    if damage == "cut":
        del whole[len(whole) // 2 :]
    file.write_bytes(whole)
    if damage == "another key":
        opening = age_keys.identities(age_keys.fresh_file())
    if damage in ("no list", "a way out"):
        name = "media/../../out.txt" if damage == "a way out" else making.POSTGRES_MEMBER

        def pack(tar: tarfile.TarFile) -> None:
            media.add(tar, name, BytesIO(b"x"), 1)

        sealed.seal(file, age_keys.recipients(keys.sealing()), pack)
    with pytest.raises(BackupFault):
        restoring.restore(file, place, opening)
    assert not place.folder.exists()
    assert not list(place.folder.parent.glob("out.txt"))
    assert not POSTGRES or postgres_copy.is_empty(place.postgres)


def test_proof_of_a_whole_shop_is_kept_as_sentences(shop: Any, house: Path) -> None:
    make()
    drill = proving.prove(proving.newest(), at=AT)
    assert drill.state == "proved", drill.said
    assert "0 letters went from the copy" in drill.said and "pages opened" in drill.said
    assert "links of customers opened" in drill.said and "0 links" not in drill.said
    assert not list(house.glob("backup-work-*"))
    if POSTGRES:
        assert not postgres_copy.leftovers(
            postgres_copy.address(connection.settings_dict), proving.PROOF_DATABASE
        )


def test_check_names_a_photo_that_was_lost_and_excuses_one_cleared_away(shop: Any) -> None:
    photo = Photo.objects.get()
    assert checks.all_files(set()) == (True, "1 photo or paper are there.")
    stored_path(photo.sha256, folder="photos", suffix=".jpg").unlink()
    name = f"photos/{photo.sha256[:2]}/{photo.sha256}.jpg"
    assert checks.all_files(set()) == (False, f"The file {name} is missing.")
    assert checks.all_files({name})[0]


@pytest.mark.parametrize(
    ("check", "change", "said"),
    [
        (checks.stocked, "UPDATE quotes_part SET on_hand = on_hand + 1 WHERE id = (SELECT MIN(id) FROM quotes_part)", "is not the sum of its moves"),
        (checks.chained, "UPDATE intake_historyhead SET seq = seq + 1", "The end of the history has been cut off"),
        (checks.recounted, "UPDATE shop_bookline SET quoted_minutes = quoted_minutes + 1", "quoted_minutes is"),
    ],
)  # fmt: skip
def test_check_finds_what_was_changed(shop: Any, check: Any, change: str, said: str) -> None:
    assert check()[0]
    with connection.cursor() as cursor:
        cursor.execute(change)
    held, sentence = check()
    assert not held and said in sentence


def test_proof_of_a_damaged_file_fails_by_the_command_too(bench: Any, house: Path) -> None:
    file = make()
    whole = bytearray(file.read_bytes())
    whole[-100] ^= 1
    file.write_bytes(whole)
    with pytest.raises(CommandError, match="could not be proved"):
        call_command("prove_restore", stdout=StringIO(), stderr=(said := StringIO()))
    assert "damaged or cut short" in said.getvalue()
    assert RestoreDrill.objects.get().state == "failed"


def test_backup_when_the_disk_is_full_says_so_and_keeps_the_older(
    shop: Any, house: Path, settings: Any
) -> None:
    older = make()
    BackupSet.objects.update(name="older")
    older.rename(making.file_of("older"))
    half = making.file_of(making.name_at(AT)).with_name(f".{making.name_at(AT)}.age.part")
    half.symlink_to("/dev/full")
    row = BackupSet.objects.create(name=making.name_at(AT), why="hand", began_at=AT)
    with pytest.raises(BackupFault, match="no room left"):
        making.make(row)
    assert (row.state, row.said) == ("failed", "There is no room left on the disk for the backup.")
    assert [path.name for path in Path(settings.BACKUP_FOLDER).iterdir()] == ["older.age"]
    assert not list(house.glob("backup-work-*"))


@pytest.mark.skipif(not POSTGRES, reason="SQLite is copied without tools")
def test_backup_without_the_tools_says_what_to_install(
    shop: Any, settings: Any, monkeypatch: Any, tmp_path: Path
) -> None:
    monkeypatch.setattr(postgres_copy, "HOMES", tmp_path)
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(
        CommandError, match="pg_dump is not on this machine; install PostgreSQL's client programs"
    ):
        call_command("backup", stdout=StringIO())
    (tmp_path / "pg_dump").write_text("#!/bin/sh\necho 'pg_dump (PostgreSQL) 9.6.1'\n")
    (tmp_path / "pg_dump").chmod(0o755)
    with pytest.raises(CommandError, match="pg_dump is of version 9 and the server of"):
        call_command("backup", stdout=StringIO())
    assert not list(Path(settings.BACKUP_FOLDER).iterdir())


def test_backup_never_writes_over_a_file_that_no_row_knows(bench: Any, house: Path) -> None:
    """A database that was brought back knows nothing of the sets made since, though they lie in the same folder."""
    name = making.name_at(AT)
    other = making.file_of(name)
    other.write_bytes(b"a whole set of before")
    row = BackupSet.objects.create(name=name, why="night", began_at=AT)
    with pytest.raises(BackupFault, match=f"There is a file {other.name} already"):
        making.make(row)
    assert other.read_bytes() == b"a whole set of before"
    assert BackupSet.objects.get().state == "failed"


@pytest.mark.skipif(POSTGRES, reason="a server checks its pages by itself")
def test_backup_of_a_damaged_database_says_so(tmp_path: Path) -> None:
    from shop.backup import sqlite_copy

    file = tmp_path / "one.sqlite3"
    with sqlite3.connect(file) as link:
        link.execute("CREATE TABLE a (b TEXT)")
        link.executemany("INSERT INTO a VALUES (?)", [("x" * 500,)] * 200)
    link.close()
    whole = bytearray(file.read_bytes())
    whole[4096 * 3 : 4096 * 5] = b"\xff" * 8192
    file.write_bytes(whole)
    with pytest.raises(BackupFault, match="The database is damaged or cannot be read"):
        sqlite_copy.copy(file, tmp_path / "two.sqlite3")
