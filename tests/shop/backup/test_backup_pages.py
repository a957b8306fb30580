"""The owner's pages of backups and of the keys to keep apart."""

import datetime as dt
from pathlib import Path
from typing import Any

import pytest
from django.test import Client

from intake.models import HistoryEntry
from shop.backup import keys, making
from shop.books.house import house as house_now
from shop.doors import fresh
from shop.models import BackupSet, RestoreDrill

pytestmark = pytest.mark.django_db
NOW = dt.datetime.now(dt.UTC)


@pytest.fixture
def page(client: Client, bench: Any, house: Path) -> Client:
    client.force_login(bench.owner)
    return client


def _set(hours: int, **values: Any) -> BackupSet:
    at = NOW - dt.timedelta(hours=hours)
    return BackupSet.objects.create(
        **{"name": making.name_at(at), "why": "night", "began_at": at, "state": "whole", **values}
    )


def test_page_when_there_is_none_says_so(page: Client) -> None:
    shown = page.get("/house/backups/").content.decode()
    assert "There is no backup yet." in shown and "None yet. The first is made tonight" in shown


def test_page_lists_sets_and_proofs_as_they_are(page: Client) -> None:
    there, lost = _set(1, rows=12, files=1, bytes_long=2048), _set(25, rows=1, files=0, bytes_long=1)
    making.file_of(there.name).write_bytes(b"x")
    _set(49, state="failed", said="There is no room left on the disk for the backup.")
    RestoreDrill.objects.create(backup=lost, state="proved", began_at=NOW, said="One sentence.\n<b>Two</b>")
    shown = page.get("/house/backups/").content.decode()
    assert "12 rows, 1 file; 2.0" in shown and "no room left" in shown
    assert shown.count("its file is not in the folder any more") == 1
    assert "<li>One sentence.</li><li>&lt;b&gt;Two&lt;/b&gt;</li>" in shown


def test_make_now_asks_once_and_makes_nothing_in_the_request(page: Client, bench: Any) -> None:
    for _ in range(2):
        answer = page.post("/house/backups/make/", follow=True)
    assert "is being made already" in answer.content.decode()
    row = BackupSet.objects.get()
    assert (row.state, row.why) == ("running", "hand") and not making.file_of(row.name).exists()
    assert "A backup is being made." in answer.content.decode()


def test_prove_now_asks_once_and_proves_nothing_in_the_request(page: Client) -> None:
    keys.sealing()
    assert "Prove the newest now" not in page.get("/house/backups/").content.decode()
    _set(1, rows=1, files=0, bytes_long=1)
    assert "Prove the newest now" in page.get("/house/backups/").content.decode()
    answers = [page.post("/house/backups/prove/", follow=True).content.decode() for _ in range(2)]
    assert "A proof begins within a minute." in answers[0] and "A proof is under way." in answers[0]
    assert "is under way already" in answers[1] and "Prove the newest now" not in answers[1]
    assert RestoreDrill.objects.get().state == "running"


def test_row_says_when_it_was_made_by_the_shops_clock(page: Client) -> None:
    made = dt.datetime(2026, 1, 5, 23, 59, tzinfo=dt.UTC)
    BackupSet.objects.create(
        name=making.name_at(made),
        why="night",
        began_at=made,
        ended_at=made,
        state="whole",
        rows=1,
        files=0,
        bytes_long=1,
    )
    shown = page.get("/house/backups/").content.decode()
    assert "The time within a file's name is UTC" in shown
    row = shown.partition("benchpost-20260105-235900")[2].partition("</tr>")[0]
    assert "23:59" not in row and f"{made.astimezone(house_now().zone):%H:%M}" in row


def test_key_is_shown_by_the_button_alone_and_the_history_says_so(page: Client, bench: Any) -> None:
    keys.sealing()
    secret = keys.own_place().read_text().split()[-1]
    shown = page.get("/house/backups/keys/")
    assert secret not in shown.content.decode() and not HistoryEntry.objects.filter(what="backup key shown")
    shown = page.post("/house/backups/keys/")
    assert secret in shown.content.decode() and "no-store" in shown.headers["Cache-Control"]
    entry = HistoryEntry.objects.get(what="backup key shown")
    assert entry.who == bench.owner.username and entry.facts == {}


def test_key_is_made_and_shown_before_the_first_backup(page: Client) -> None:
    assert not keys.own_place().exists()
    shown = page.post("/house/backups/keys/").content.decode()
    assert keys.own_place().read_text().split()[-1] in shown


def test_key_wants_the_password_again(page: Client) -> None:
    session = page.session
    session[fresh.PROVED_AT] = 0
    session.save()
    assert page.post("/house/backups/keys/").status_code == 303


def test_key_that_is_elsewhere_is_not_shown(page: Client, settings: Any) -> None:
    settings.BACKUP_RECIPIENTS = ["age1tn5lqqgyqrncy4yzfcckaf53yyhyqsnt4s8mrnkp4gadj5dk3frs4pw2fw"]
    shown = page.post("/house/backups/keys/").content.decode()
    assert "AGE-SECRET-KEY" not in shown and settings.BACKUP_RECIPIENTS[0] in shown
    assert "This machine holds no key" in page.get("/house/backups/").content.decode()


def test_keys_of_several_machines_are_said_to_be_elsewhere(page: Client, settings: Any) -> None:
    settings.SEVERAL_MACHINES = True
    settings.BACKUP_RECIPIENTS = ["age1tn5lqqgyqrncy4yzfcckaf53yyhyqsnt4s8mrnkp4gadj5dk3frs4pw2fw"]
    shown = page.get("/house/backups/keys/").content.decode()
    assert "no machine of the shop makes one" in shown and "On each machine, in" in shown
    assert "Show the key for printing" not in shown


@pytest.mark.parametrize(
    "address", ["/house/backups/", "/house/backups/make/", "/house/backups/prove/", "/house/backups/keys/"]
)
def test_pages_are_the_owners_alone(client: Client, bench: Any, house: Path, address: str) -> None:
    ask = client.post if "make" in address or "prove" in address else client.get
    assert ask(address).status_code == 302
    client.force_login(bench.technician)
    assert ask(address).status_code == 403


def test_own_key_is_made_once_for_its_owner_alone(house: Path) -> None:
    first = keys.sealing()
    assert keys.sealing() == first and keys.can_open()
    assert keys.own_place().stat().st_mode & 0o777 == 0o600
