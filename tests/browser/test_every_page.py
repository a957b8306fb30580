"""Every page of the house at every station, on a phone and on a desk: audited, no wider than its window, no fault in its script."""

import datetime as dt
from collections.abc import Callable, Iterator
from pathlib import Path
from types import SimpleNamespace
from typing import Any
from urllib.parse import urlsplit

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.test import Client
from playwright.sync_api import Browser, Page, sync_playwright

from intake import arrivals, drain, lifecycle, questions, tokens
from intake.models import Order, Person
from intake.stations import SlipReason, Station
from quotes.diagnosis import Found
from quotes.models import ListWord, Quote
from shop.bench import repair
from shop.branches import comeback, own_damage
from shop.returns import out
from shop.traveller.signing import sign_finding
from tests import walk
from tests.browser import walking

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
OPEN = (
    "/",
    "/request/",
    "/lost-link/",
    "/sign-in/",
    "/l/no-such-link/",
    "/phone/no-such-code/",
    "/no-such-page/",
)
STAFF = (
    "/bench/", "/bench/bags/", "/receiving/", "/find/?q=mara", "/find/?q=nothing", "/stock/", "/stock/?q=nothing", "/stock/new/", "/stock/lots/",
    "/out/", "/letters/", "/books/", "/books/time/", "/books/margin/", "/books/promises/", "/books/owed/", "/books/replay/", "/books/tables/",
    "/books/months/", "/books/orders/", "/settings/hours/", "/house/", "/settings/reading-keys/", "/settings/", "/settings/letterhead/",
    "/settings/texts/", "/settings/letters/", "/settings/rates/", "/settings/remedies/", "/settings/remedies/new/",
    "/settings/prices/", "/settings/prices/parts/", "/settings/prices/parts/in/", "/settings/surcharges/",
    "/settings/surcharges/new/", "/settings/tiers/", "/settings/tiers/new/", "/settings/rates/versions/",
    "/settings/rates/versions/1/",
    "/settings/tests/", "/settings/tests/phone/", "/settings/people/", "/settings/people/new/",
    "/settings/lists/", "/settings/lists/remedies/", "/settings/lists/fault/", "/settings/lists/point/",
    "/bench/seen/",
    "/accounts/bank/", "/accounts/bank/done/",
    "/bench/wire/", "/bench/wire/?size=0.1&length=12&amps=60m&rail=PP1V8&nominal=1.8&volts=3.8", "/bench/good-boards/",
    "/bench/good-boards/?board=Z7", "/bench/meters/",
    "/house/backups/", "/house/backups/keys/",
    "/sign-in/mine/", "/sign-in/mine/password/", "/sign-in/second/", "/sign-in/again/", "/settings/came-in/",
    "/settings/keeping/", "/settings/keeping/tonight/", "/settings/keeping/register/", "/settings/keeping/people/",
    "/demo/", "/demo/letters/",
)  # fmt: skip


@pytest.fixture(scope="module")
def browser(chromium: Path) -> Iterator[Browser]:
    with pytest.MonkeyPatch.context() as patch, sync_playwright() as playwright:
        patch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "true")
        opened = playwright.chromium.launch(executable_path=str(chromium), args=walking.FLAGS)
        yield opened
        opened.close()


def at_every_station(by: Person, at: dt.datetime) -> dict[str, Order]:
    """An order at each station from goods in to home, everything going well."""
    stations = [station for station in Station if station >= Station.GOODS_IN]
    return {station.name.lower(): walk.to(walk.request(at=at), station, by=by, at=at) for station in stations}


def _answered(choice: str, by: Person, at: dt.datetime) -> Order:
    order = walk.to(walk.request(at=at), Station.GO_AHEAD, by=by, at=at)
    walk.answer(order, choice=choice, at=at)
    return order


def _posted(by: Person, at: dt.datetime) -> Order:
    order = walk.request(at=at)
    Order.objects.filter(pk=order.pk).update(posted_at=at)
    return order


def _swollen(by: Person, at: dt.datetime) -> Order:
    return walk.receive(walk.request(at=at), by=by, at=at, cell_state="swollen")


def _lapsed(by: Person, at: dt.datetime) -> Order:
    order = walk.to(walk.request(at=at), Station.GO_AHEAD, by=by, at=at - dt.timedelta(days=60))
    assert Quote.objects.get(order=order).valid_until < at
    return order


def _recycled(by: Person, at: dt.datetime) -> Order:
    order = _answered("recycle", by, at)
    out.recycle(order=order, seen_version=order.version, method="Destroyed", by=by, at=at)
    return order


def _not_mended(by: Person, at: dt.datetime) -> Order:
    order = walk.to(walk.request(at=at), Station.REPAIR, by=by, at=at)
    repair.no_fix(order=order, seen_version=order.version, words="The board is cracked.", by=by, at=at)
    return order


def _lost(by: Person, at: dt.datetime) -> Order:
    order = walk.to(walk.request(at=at), Station.WAY_HOME, by=by, at=at)
    lifecycle.hold(order, reason=SlipReason.LOST, by=lifecycle.CLOCK, at=at)
    return order


def _asked(by: Person, at: dt.datetime) -> Order:
    order = walk.to(walk.request(at=at, standing_limit="500"), Station.REPAIR, by=by, at=at)
    lifecycle.hold(order, reason=SlipReason.PART, by=lifecycle.CLOCK, at=at)
    questions.ask(order=order, text="When will it be done?", form_key="asked", at=at)
    return order


def _damaged(by: Person, at: dt.datetime) -> Order:
    order = walk.to(walk.request(at=at), Station.REPAIR, by=by, at=at)
    harm = own_damage.Harm(words="Hot air melted the socket beside it.", offered="We pay its value.")
    own_damage.own_damage(order=order, seen_version=order.version, harm=harm, key="page", by=by, at=at)
    return order


def _came_back(by: Person, at: dt.datetime) -> Order:
    home = walk.to(walk.request(at=at), Station.HOME, by=by, at=at)
    order = arrivals.start_comeback(order=home, words="Again.", form_key="page", by=by, at=at)
    walk.receive(order, by=by, at=at)
    comeback.say_cause(order=order, said=comeback.Said("work", "Our joint."), key="page", by=by, at=at)
    return order


def _came_back_found(by: Person, at: dt.datetime) -> Order:
    home = walk.to(walk.request(at=at), Station.HOME, by=by, at=at)
    order = arrivals.start_comeback(order=home, words="Again.", form_key="page2", by=by, at=at)
    walk.receive(order, by=by, at=at)
    comeback.say_cause(order=order, said=comeback.Said("same", "It let go."), key="page2", by=by, at=at)
    found = Found(fault_class="own work", words="A joint has cracked.", mendable="yes")
    sign_finding(order=order, seen_version=order.version, found=found, key="page2", by=by, at=at)
    return Order.objects.get(pk=order.pk)


def _other_device(by: Person, at: dt.datetime) -> Order:
    return walk.receive(walk.request(at=at), by=by, at=at, serial_read="ZZ-0471")


def _copied(by: Person, at: dt.datetime) -> Order:
    order = walk.to(walk.request(at=at), Station.TEST, by=by, at=at)
    return walk.test_and_pass(order, by=by, at=at, outcome="data only")


TURNS: dict[str, Callable[[Person, dt.datetime], Order]] = {
    "posted": _posted,
    "swollen": _swollen,
    "lapsed": _lapsed,
    "declined": lambda by, at: _answered("back", by, at),
    "to recycle": lambda by, at: _answered("recycle", by, at),
    "recycled": _recycled,
    "not mended": _not_mended,
    "lost": _lost,
    "asked": _asked,
    "damaged": _damaged,
    "came back": _came_back,
    "came back, found": _came_back_found,
    "other device": _other_device,
    "data copied": _copied,
}


class Looker:
    """A window of one width that looks at page after page and remembers what is wrong."""

    def __init__(
        self, browser: Browser, size: dict[str, int], site: str, cookies: Client | None = None
    ) -> None:
        self.wrong: list[str] = []
        self.errors: list[str] = []
        self.site, self.width = site, size["width"]
        self.page: Page = walking.open_page(browser, size, self.errors)
        if cookies is not None:
            self.page.context.add_cookies(
                [{"name": name, "value": one.value, "url": site} for name, one in cookies.cookies.items()]
            )

    def look(self, path: str, name: str = "") -> None:
        said = f"{name or path} at {self.width}"
        self.page.goto(f"{self.site}{path}")
        self.page.evaluate("document.querySelectorAll('details').forEach(fold => { fold.open = true })")
        found = Axe().run(self.page)
        if found.violations_count:
            self.wrong.append(f"{said}: {found.generate_report()}")
        wide = self.page.evaluate("document.documentElement.scrollWidth")
        if wide > self.width:
            self.wrong.append(f"{said} is {wide} wide")
        if not self.page.title().strip() or not self.page.locator("h1").count():
            self.wrong.append(f"{said} has no title or no heading")
        self.wrong += [f"{said}: {error}" for error in self.errors]
        self.errors.clear()


def test_every_page_passes_the_audit_at_every_station(
    browser: Browser, bench: SimpleNamespace, live_server: Any, settings: Any
) -> None:
    """Audit by axe-core, all its rules; nothing scrolls sideways, by WCAG 2.2, 1.4.10."""
    settings.DEMO, settings.SITE_ADDRESS = True, live_server.url
    by, at, owner = bench.technician, drain.now(), Client()
    orders = {**at_every_station(by, at), **{name: turn(by, at) for name, turn in TURNS.items()}}
    links = {
        name: urlsplit(tokens.address_of(tokens.give_link(order, at=at))).path
        for name, order in orders.items()
    }
    owner.force_login(bench.owner)
    wrong: list[str] = []
    for size in (walking.PHONE, walking.DESK):
        anybody = Looker(browser, size, live_server.url)
        for path in OPEN:
            anybody.look(path)
        for name, path in links.items():
            anybody.look(path, f"window of {name}")
        staff = Looker(browser, size, live_server.url, owner)
        for path in STAFF:
            staff.look(path)
        for name, order in orders.items():
            staff.look(f"/sheet/{order.code}/", f"sheet of {name}")
        staff.look(f"/sheet/{orders['repair'].code}/pictures/")
        word = ListWord.objects.filter(kind="fault").earliest("pk")
        staff.look(f"/settings/lists/word/{word.pk}/")
        staff.look(f"/settings/lists/word/{word.pk}/merge/?into={word.name}")
        wrong += anybody.wrong + staff.wrong
    assert not wrong, "\n".join(wrong)
