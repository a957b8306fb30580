"""Every address of the house with a real object behind it, and the six kinds of people who knock."""

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass, field
from http import HTTPStatus
from typing import Any

from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from intake import tokens
from intake.models import Order, Person, Photo

ROLES = ("stranger", "own", "other", "technician", "owner", "key", "phone")
# Pages that answer only to a question.
QUERIES = {"shop:trade_statement": "?month=2026-10", "shop:merge_remedy": "?into={remedy}"}
# What stands for a row that this world does not have: the door answers before the row is looked for.
NOBODY = 999_999


@dataclass(frozen=True)
class Room:
    """One pattern: its full name, its route, and the names of what is put in."""

    name: str
    route: str
    view: Any
    takes: tuple[str, ...]


def rooms() -> list[Room]:
    return list(_walk(get_resolver(), "", ""))


def _walk(resolver: Any, before: str, space: str) -> Iterator[Room]:
    for pattern in resolver.url_patterns:
        route = before + str(pattern.pattern)
        if isinstance(pattern, URLResolver):
            yield from _walk(pattern, route, pattern.namespace or space)
        elif isinstance(pattern, URLPattern):
            yield Room(
                f"{space}:{pattern.name}", route, pattern.callback, tuple(_names(resolver, pattern, route))
            )


def _names(resolver: Any, pattern: URLPattern, route: str) -> list[str]:
    return [part.split(":")[-1].rstrip(">") for part in route.split("<")[1:] for part in [part.split(">")[0]]]


@dataclass
class Things:
    """What belongs to one order, by the name an address gives it."""

    order: Order
    photo: Photo
    kept: dict[str, Any] = field(default_factory=dict)


@dataclass
class House:
    """Two orders of two customers with all that can hang on one, the shop's own rows, and a key."""

    owner: Person
    technician: Person
    mine: Things
    theirs: Things
    shop: dict[str, dict[str, Any]]
    key: str

    def address(self, room: Room, *, things: Things | None = None) -> str:
        things = things or self.mine
        given = {name: self._value(room, name, things) for name in room.takes}
        return reverse(room.name, kwargs=given) + QUERIES.get(room.name, "").format(**self.shop["queries"])

    def _value(self, room: Room, name: str, things: Things) -> Any:
        own = self.shop.get(room.name, {})
        if name in own:
            return own[name]
        if f"{room.name}.{name}" in things.kept:
            return things.kept[f"{room.name}.{name}"]
        return things.kept.get(name, NOBODY if f"<int:{name}>" in room.route else f"no-{name}")

    def visitor(self, role: str, **more: Any) -> Client:
        """A browser of that role, with its cookies."""
        client = Client(**more)
        if role in ("technician", "owner"):
            client.force_login(getattr(self, role))
        if role in ("own", "other"):
            things = self.mine if role == "own" else self.theirs
            client.get(link_path(things.order))
            client.get(reverse("intake:resume", args=[things.kept["intake:resume.token"]]))
        if role == "phone":
            client.get(reverse("shop:phone_in", args=[self.mine.kept["shop:phone_in.token"]]))
        if role == "key":
            client.defaults["HTTP_AUTHORIZATION"] = f"Bearer {self.key}"
        return client


def link_path(order: Order) -> str:
    token = tokens.address_of(tokens.give_link(order, at=_now())).rstrip("/").rsplit("/", 1)[1]
    return reverse("shop:open_link", args=[token])


def _now() -> dt.datetime:
    return dt.datetime.now(tz=dt.UTC)


SIGN_IN = "/sign-in/"


def kind_of(answer: Any) -> str:
    """How the door answered, in the words of the table."""
    status = answer.status_code
    if (
        status in (HTTPStatus.FOUND, HTTPStatus.SEE_OTHER)
        and answer.headers["Location"].split("?")[0] == SIGN_IN
    ):
        return "asks to sign in"
    if status in (HTTPStatus.UNAUTHORIZED, HTTPStatus.FORBIDDEN):
        return "refused"
    if status in (HTTPStatus.NOT_FOUND, HTTPStatus.GONE):
        return "gone"
    if status == HTTPStatus.METHOD_NOT_ALLOWED:
        return "not allowed method"
    if status >= HTTPStatus.INTERNAL_SERVER_ERROR:
        return f"broken {status}"
    return "in"
