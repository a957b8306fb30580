"""Who comes in where: every address of the house, by everybody, looked at and posted to, against the written table.

The table is `doors_table.csv`: a new address fails here until somebody has written down who may use it. Rules of
OWASP ASVS 5.0: 8.2.1, 8.2.2, 8.3.1 (from the stored text of the standard).
"""

import csv
import logging
import re
import subprocess
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from http import HTTPStatus
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from django.conf import LazySettings
from django.db import connection, transaction
from django.template import loader
from django.test import Client

from intake.history import verify
from intake.models import HistoryEntry
from intake.papers import html as papers
from tests.shop.security.rooms import ROLES, House, Room, kind_of, rooms
from tests.shop.security.world import build

TABLE = Path(__file__).with_name("doors_table.csv")
METHODS = ("GET", "POST")
# What a visit may leave: a session, a count of tries, that a link, a key or a sign-in was used, who looked, and the file of a
# paper, drawn at first need. Nothing else changes by looking, nor by a post of somebody who has no right to it.
NOTES = {
    "django_session", "cache_rows", "intake_customerlink", "intake_paper", "shop_readkey", "shop_sight",
    "shop_knownbrowser", "shop_signintry",
}  # fmt: skip
# The reports of a card provider are signed, so that no form guard is asked for.
WITHOUT_FORM_GUARD = {"shop:card_events"}
WRITES = re.compile(r'\s*(?:INSERT INTO|UPDATE|DELETE FROM)\s+"?(\w+)', re.IGNORECASE)
INLINE = re.compile(
    rb"<script(?![^>]*\ssrc=)(?![^>]*type=\"application/json\")|<style|\sstyle\s*=|<[^>]+\son[a-z]+\s*=|javascript:",
    re.IGNORECASE,
)


def written() -> dict[tuple[str, str], dict[str, str]]:
    with TABLE.open(newline="") as file:
        return {(row["name"], row["method"]): row for row in csv.DictReader(file)}


@pytest.fixture
def house(
    bench: SimpleNamespace,
    settings: LazySettings,
    request: pytest.FixtureRequest,
    monkeypatch: pytest.MonkeyPatch,
) -> House:
    """The short form draws no paper; that papers can be drawn is proved elsewhere."""
    settings.DEMO, settings.METRICS_KEY = True, "the key of the figures, which nobody here has"
    if not request.config.getoption("--long"):
        drawn = subprocess.CompletedProcess([], 0, b"%PDF-1.7\n", b"")
        monkeypatch.setattr(papers, "_child", lambda *_: drawn)
    return build(bench)


@contextmanager
def changes() -> Iterator[list[str]]:
    """Collects every statement that writes to a table other than those of NOTES."""
    seen: list[str] = []

    def watch(execute: Callable[..., Any], sql: str, params: Any, many: bool, context: Any) -> Any:
        found = WRITES.match(sql)
        if found and found[1] not in NOTES:
            seen.append(sql[:120])
        return execute(sql, params, many, context)

    with connection.execute_wrapper(watch):
        yield seen


class _Back(Exception):
    """Takes one visit back."""


def visit(house: House, room: Room, method: str, client: Client) -> tuple[Any, list[str]]:
    """One knock; whatever it changed is taken back. Returns the answer and what was written."""
    cookies = client.cookies.copy()
    answer: Any = None
    with changes() as seen:
        try:
            with transaction.atomic():
                answer = client.generic(method, house.address(room))
                if answer.streaming:
                    answer.streaming_content = [b"".join(answer.streaming_content)]
                raise _Back
        except _Back:
            pass
    client.cookies = cookies
    return answer, seen


def faults_of(answer: Any) -> Iterator[str]:
    """What every answer must carry, and no page may hold."""
    policy = answer.headers.get("Content-Security-Policy", "")
    sealed = "sandbox" in policy and "script-src 'none'" in policy
    if "default-src 'none'" not in policy or ("unsafe" in policy and not sealed):
        yield f"policy {policy!r}"
    if "no-store" not in answer.headers.get("Cache-Control", ""):
        yield f"may be kept by a cache: {answer.headers.get('Cache-Control', '')!r}"
    if answer.headers.get("X-Content-Type-Options") != "nosniff":
        yield "no nosniff"
    kind = answer.headers.get("Content-Type", "")
    if kind.startswith("text/") and "charset=utf-8" not in kind.lower():
        yield f"no charset: {kind}"
    if kind.startswith("text/html") and not answer.streaming and "sandbox" not in policy:
        yield from (f"inline: {found[0][:80]!r}" for found in INLINE.finditer(answer.content))


def test_table_has_exactly_the_addresses_of_the_house() -> None:
    named = {(room.name, method) for room in rooms() for method in METHODS}
    table = set(written())
    assert sorted(named - table) == [], "addresses without a row: write who may use them"
    assert sorted(table - named) == [], "rows without an address"


def test_names_of_addresses_are_told_once() -> None:
    names = [room.name for room in rooms()]
    assert sorted(names) == sorted(set(names))


@pytest.mark.long
@pytest.mark.parametrize(
    "roles",
    [("technician",), ("owner",), tuple(role for role in ROLES if role not in ("technician", "owner"))],
)
def test_every_door_answers_as_written(
    house: House, roles: tuple[str, ...], request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The short form does not write out the pages that answer to a post; looking is always whole."""
    logging.disable(logging.CRITICAL)
    table, before = written(), HistoryEntry.objects.count()
    wrong: list[str] = []
    clients = {role: house.visitor(role, raise_request_exception=False) for role in roles}
    for method in METHODS:
        if method == "POST" and not request.config.getoption("--long"):
            monkeypatch.setattr(loader, "render_to_string", lambda *_, **__: "")
        for role, client in clients.items():
            for room in rooms():
                wrong += knocked(house, table, room, method, role, client)
    logging.disable(logging.NOTSET)
    assert wrong == []
    assert HistoryEntry.objects.count() == before


def knocked(
    house: House, table: dict[tuple[str, str], Any], room: Room, method: str, role: str, client: Client
) -> Iterator[str]:
    """What is wrong with one cell of the table."""
    want = table.get((room.name, method), {}).get(role, "no row")
    answer, seen = visit(house, room, method, client)
    got = kind_of(answer)
    if got != want:
        yield f"{room.name},{method}: {role} is {got!r}, written {want!r}"
    if seen and (method == "GET" or got != "in"):
        yield f"{room.name},{method}: {role} changed {seen}"
    yield from (f"{room.name},{method} for {role}: {fault}" for fault in faults_of(answer))


def test_every_post_without_the_form_guard_is_refused(house: House) -> None:
    wrong = []
    for role in ("stranger", "own", "owner"):
        client = house.visitor(role, enforce_csrf_checks=True)
        for room in rooms():
            answer, seen = visit(house, room, "POST", client)
            refused = answer.status_code == HTTPStatus.FORBIDDEN and not seen
            if refused == (room.name in WITHOUT_FORM_GUARD):
                wrong.append(f"{room.name} for {role}: {answer.status_code} {seen}")
    assert wrong == []


def test_things_of_another_order_are_not_found_under_this_one(house: House) -> None:
    """ASVS 5.0, 8.2.2: the code of one order, the pk of another's photo, paper, copy, phone or mark."""
    inner = {"pk", "photo_id", "mark_id"}
    both = [room for room in rooms() if "code" in room.takes and inner & set(room.takes)]
    assert len(both) >= 13
    mine, theirs = house.mine, house.theirs
    wrong = []
    for room in both:
        for code, other in ((mine, theirs), (theirs, mine)):
            mixed = type(mine)(mine.order, mine.photo, {**other.kept, "code": code.kept["code"]})
            for role in ("own", "other", "technician", "owner"):
                client = house.visitor(role)
                for method in METHODS:
                    with changes() as seen:
                        answer = client.generic(method, house.address(room, things=mixed))
                    kind = kind_of(answer)
                    if kind not in ("gone", "not allowed method", "asks to sign in", "refused") or seen:
                        wrong.append(f"{room.name} {method} {role}: {kind} {seen}")
    assert wrong == []


def test_world_of_the_table_is_sound(house: House) -> None:
    assert verify() is None
