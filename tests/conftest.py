"""What every test starts from: a fixed moment, two people, a letterhead, and no mark left on the machine."""

import os
import shutil
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path
from types import SimpleNamespace

import pytest
from django.conf import settings
from django.core.cache import cache
from django.db import connection
from django.test import Client, TransactionTestCase
from django.test.utils import override_settings

from intake import house
from intake.append_only import arm, disarm
from intake.models import Letterhead, Person
from shop import guard
from shop.backup import nights
from shop.demo.base import set_up_shop
from shop.doors import fresh, sessions
from shop.running import alive, glance

AT = datetime(2026, 2, 2, 9, 0, tzinfo=UTC)
CHROMIUM = (
    os.environ.get("BENCHPOST_CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser")
)
SHOP_LINES = {
    "name": "Quillmere Bench",
    "street": "12 Solder Lane",
    "city": "Anytown",
    "postcode": "QB1 2ZZ",
    "country": "GB",
    "email": "bench@example.com",
    "phone": "555-0100",
}


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--long", action="store_true", help="the long form of the tests marked so (make faults)")


@pytest.fixture
def size(request: pytest.FixtureRequest) -> Callable[[int, int], int]:
    """`size(short, long)`: how often to try, in `make test` and in `make faults`."""
    return lambda short, long: long if request.config.getoption("--long") else short


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Without a Chromium the browser tests cannot run: they are left out, and the last lines say so."""
    if CHROMIUM:
        return
    left_out = [item for item in items if item.get_closest_marker("browser")]
    items[:] = [item for item in items if item not in left_out]
    config.hook.pytest_deselected(items=left_out)


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    if not CHROMIUM:
        terminalreporter.write_line(
            "Browser tests were left out: no Chromium here (apt-get install chromium)."
        )


@pytest.fixture(scope="session")
def django_db_modify_db_settings(
    tmp_path_factory: pytest.TempPathFactory, django_db_modify_db_settings_parallel_suffix: None
) -> None:
    """A database for each process of a run in parallel, as pytest-django names them.

    SQLite in a file: in memory all threads share one connection, and a live server's threads would mix their transactions."""
    database = settings.DATABASES["default"]
    if connection.vendor == "sqlite":
        database["TEST"] = {
            **database.get("TEST", {}),
            "NAME": str(tmp_path_factory.mktemp("database") / "test.sqlite3"),
        }


@pytest.fixture(scope="session", autouse=True)
def _nothing_kept(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Files go to a folder of the run; plain static names, plain http and a fast hasher whatever .env says."""
    with override_settings(
        MEDIA_ROOT=tmp_path_factory.mktemp("media"),
        STORAGES={
            "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
            "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
        },
        PASSWORD_HASHERS=["django.contrib.auth.hashers.MD5PasswordHasher"],
        WHITENOISE_AUTOREFRESH=True,
        SECURE_SSL_REDIRECT=False,
        TWO_FACTOR="off",
    ):
        yield


@pytest.fixture(autouse=True)
def _kept_only_within_a_test(monkeypatch: pytest.MonkeyPatch) -> None:
    """What a process keeps for a minute is read anew by each test, and its minute does not end inside one."""
    monkeypatch.setattr(house, "KEEP_SECONDS", 86_400.0)
    monkeypatch.setattr(guard, "ZONE_SECONDS", 86_400.0)
    # The night's backup is made only where a test asks for it.
    monkeypatch.setattr(nights, "QUIET_SECONDS", 86_400.0)
    house.forget_house()
    guard.forget_zone()
    glance.forget()
    alive.forget()


ARMED = {
    "sqlite": "SELECT DISTINCT tbl_name FROM sqlite_master WHERE type = 'trigger' AND name LIKE '%only_added'",
    "postgresql": "SELECT DISTINCT tgrelid::regclass::text FROM pg_trigger WHERE tgname LIKE '%only_added'",
}


@pytest.fixture(scope="session", autouse=True)
def _emptied_between_tests() -> Iterator[None]:
    """A test that commits is followed by emptying every table, those that are only ever added to as well."""
    empty = TransactionTestCase._fixture_teardown

    def with_triggers_off(case: TransactionTestCase) -> None:
        with connection.cursor() as cursor:
            cursor.execute(ARMED[connection.vendor])
            tables = [row[0] for row in cursor.fetchall()]
        for table in tables:
            disarm(connection, table)
        empty(case)
        cache.clear()
        for table in tables:
            arm(connection, table)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(TransactionTestCase, "_fixture_teardown", with_triggers_off)
        yield


@pytest.fixture(scope="session", autouse=True)
def _signed_in_a_moment_ago() -> Iterator[None]:
    """`force_login` stands for somebody who has just typed the own password, and the code where one is asked."""
    enter = Client.force_login

    def force_login(client: Client, user: Person, backend: str | None = None) -> None:
        enter(client, user, backend)
        session = client.session
        now = datetime.now(UTC).timestamp()
        session[fresh.PROVED_AT] = session[sessions.CAME_IN_AT] = session[sessions.SEEN_AT] = now
        session.save()

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Client, "force_login", force_login)
        yield


@pytest.fixture
def at() -> datetime:
    """Monday 2 February 2026, 09:00 UTC."""
    return AT


@pytest.fixture
def owner(db: None) -> Person:
    return Person.objects.create_user(
        "wilma", "wilma.owner@example.com", "bench-light-on", role=Person.Role.OWNER, initials="WO"
    )


@pytest.fixture
def technician(db: None) -> Person:
    return Person.objects.create_user(
        "tarn", "tarn.technician@example.com", "bench-light-on", role=Person.Role.TECHNICIAN, initials="TT"
    )


@pytest.fixture
def letterhead(db: None) -> Letterhead:
    return Letterhead.objects.create(version=1, since=AT, **SHOP_LINES)


@pytest.fixture
def bench(db: None) -> SimpleNamespace:
    """The demonstration's shop, set up: `.owner` and `.technician`, stock in the bins, rates and remedies."""
    owner, technician = set_up_shop(at=AT)
    return SimpleNamespace(owner=owner, technician=technician)


@pytest.fixture(scope="session")
def chromium() -> Path:
    """The browser that drives the real pages."""
    assert CHROMIUM, "a browser test ran without a Chromium"
    return Path(CHROMIUM)
