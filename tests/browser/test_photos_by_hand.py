"""Photos in a real browser: marked by keys alone and by pointer, and sent from a bench phone over a bad network."""

import io
from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.test import Client
from PIL import Image
from playwright.sync_api import Browser, Page, Route, sync_playwright

from intake import album, drain
from intake.models import Order, Photo
from intake.stations import Station
from shop.models import PhotoMark
from shop.pictures import phone
from tests import walk
from tests.browser import walking

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
# What a browser without a network writes into its console by itself.
NO_NETWORK = "net::ERR_"
SIZES = {"phone": walking.PHONE, "desk": walking.DESK}


@pytest.fixture(scope="module")
def browser(chromium: Path) -> Iterator[Browser]:
    with pytest.MonkeyPatch.context() as patch, sync_playwright() as playwright:
        patch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "true")
        opened = playwright.chromium.launch(executable_path=str(chromium), args=walking.FLAGS)
        yield opened
        opened.close()


def jpeg(colour: str) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (960, 640), colour).save(out, "JPEG")
    return out.getvalue()


@pytest.fixture
def order(bench: SimpleNamespace) -> Order:
    at = drain.now()
    return walk.to(walk.request(at=at), Station.DIAGNOSIS, by=bench.technician, at=at)


@pytest.fixture
def photo(order: Order) -> Photo:
    return album.add_photo(
        content=jpeg("#0c4d40"), role="fault", by="pim", at=drain.now(), order=order, caption="Lifted pad"
    )


def bench_page(browser: Browser, size: dict[str, int], site: str, person: Any, faults: list[str]) -> Page:
    page, client = walking.open_page(browser, size, faults), Client()
    client.force_login(person)
    page.context.add_cookies(
        [{"name": name, "value": one.value, "url": site} for name, one in client.cookies.items()]
    )
    return page


def audited(page: Page, width: int) -> None:
    found = Axe().run(page)
    assert not found.violations_count, found.generate_report()
    assert page.evaluate("document.documentElement.scrollWidth") <= width


def tab_to(page: Page, what: str) -> None:
    for _ in range(80):
        if page.evaluate("what => document.activeElement.matches(what)", what):
            return
        page.keyboard.press("Tab")
    raise AssertionError(f"{what} cannot be reached with Tab")


@pytest.mark.parametrize("size", SIZES.values(), ids=SIZES)
def test_photo_is_marked_by_keys_alone(
    browser: Browser, bench: SimpleNamespace, live_server: Any, photo: Photo, size: dict[str, int]
) -> None:
    faults: list[str] = []
    page = bench_page(browser, size, live_server.url, bench.technician, faults)
    page.goto(f"{live_server.url}/sheet/{photo.order.code}/photo/{photo.pk}/")
    audited(page, size["width"])
    tab_to(page, ".over")
    for name, times in (("ArrowRight", 11), ("ArrowUp", 5), ("ArrowLeft", 1)):
        for _ in range(times):
            page.keyboard.press(name)
    page.get_by_text("Number: 59 % across, 45 % down. Enter keeps it.").wait_for()
    walking.key(page, "Enter")
    row = PhotoMark.objects.get()
    assert (row.kind, row.x, row.y, row.number) == ("number", 590, 450, 1)
    # The photo has the focus again; a ring is chosen by its radio button, and its edge moved with Shift.
    tab_to(page, "[name=kind]")
    page.keyboard.press("ArrowUp")
    page.keyboard.press("ArrowUp")
    assert page.locator("[name=kind]:checked").get_attribute("value") == "ring"
    page.locator(".over").focus()
    page.keyboard.press("ArrowDown")
    for _ in range(4):
        page.keyboard.press("Shift+ArrowRight")
    walking.key(page, "Enter")
    ring = PhotoMark.objects.get(kind="ring")
    assert (ring.x, ring.y, ring.to_x, ring.to_y) == (500, 500, 600, 500)
    audited(page, size["width"])
    tab_to(page, ".marks-said button")
    walking.key(page, "Enter")
    assert PhotoMark.objects.get(number=1).removed_at is not None
    assert not faults


def test_photo_is_marked_by_pointer(
    browser: Browser, bench: SimpleNamespace, live_server: Any, photo: Photo
) -> None:
    faults: list[str] = []
    page = bench_page(browser, walking.DESK, live_server.url, bench.technician, faults)
    page.goto(f"{live_server.url}/sheet/{photo.order.code}/photo/{photo.pk}/")
    page.locator("[name=kind][value=arrow]").check()
    box = page.locator(".over").bounding_box()
    assert box
    for across, down in ((0.5, 0.5), (0.25, 0.75)):
        page.locator(".over").click(position={"x": box["width"] * across, "y": box["height"] * down})
    page.locator("#mark_words").fill("torn pad")
    walking.press(page, "Draw it", inside="#mark-form")
    row = PhotoMark.objects.get()
    assert abs(row.x - 250) < 4 and abs(row.y - 750) < 4
    assert abs((row.to_x or 0) - 500) < 4 and abs((row.to_y or 0) - 500) < 4
    page.get_by_text("Arrow in the middle: torn pad").first.wait_for()
    assert not faults


def files(folder: Path) -> list[Path]:
    paths = []
    for number, colour in enumerate(["black", "white", "red", "green", "blue"]):
        paths.append(folder / f"photo-{number}.jpg")
        paths[-1].write_bytes(jpeg(colour))
    return paths


@pytest.fixture
def handset(browser: Browser, bench: SimpleNamespace, live_server: Any, order: Order) -> Iterator[Page]:
    """A phone that has just opened the code on the screen."""
    faults: list[str] = []
    row = phone.open_pass(order=order, role="fault", by=bench.technician, at=drain.now())
    page = walking.open_page(browser, walking.PHONE, faults)
    page.goto(f"{live_server.url}/phone/{phone.secret_of(row)}/")
    assert page.url == f"{live_server.url}/phone/"
    yield page
    assert not [fault for fault in faults if NO_NETWORK not in fault]
    page.context.close()


def test_photos_wait_out_a_lost_network_and_arrive_once(handset: Page, order: Order, tmp_path: Path) -> None:
    audited(handset, walking.PHONE["width"])
    handset.context.set_offline(True)
    handset.locator("[name=photos]").set_input_files(files(tmp_path))
    handset.get_by_text("5 not sent yet. Keep this page open.").wait_for()
    handset.get_by_text("no connection").first.wait_for()
    assert not order.photos.filter(role="fault").exists()
    handset.context.set_offline(False)
    handset.get_by_text("All are on the sheet.").wait_for()
    assert order.photos.filter(role="fault").count() == 5
    assert handset.locator("[data-phone-count]").text_content() == "5"
    audited(handset, walking.PHONE["width"])
    handset.reload()
    handset.wait_for_timeout(500)
    assert handset.locator("[data-phone-queue]").is_hidden()
    assert order.photos.filter(role="fault").count() == 5


def test_photo_whose_answer_was_lost_is_sent_again_and_kept_once(
    handset: Page, order: Order, tmp_path: Path
) -> None:
    tries: list[str] = []

    def lose_the_first_answer(route: Route) -> None:
        tries.append(route.request.url)
        if len(tries) == 1:
            route.fetch()
            route.abort()
        else:
            route.continue_()

    handset.route("**/phone/send/", lose_the_first_answer)
    handset.locator("[name=photos]").set_input_files(files(tmp_path)[0])
    handset.get_by_text("All are on the sheet.").wait_for()
    assert len(tries) == 2
    assert order.photos.filter(role="fault").count() == 1


def test_photos_left_when_the_code_ran_out_go_on_with_a_fresh_one(
    handset: Page, order: Order, bench: SimpleNamespace, live_server: Any, tmp_path: Path
) -> None:
    row = order.phone_passes.get()
    phone.end_pass(row=row, by="pim", at=drain.now())
    handset.locator("[name=photos]").set_input_files(files(tmp_path)[:2])
    handset.get_by_text("The code has run out. 2 not sent yet.").wait_for()
    fresh = phone.open_pass(order=order, role="fault", by=bench.technician, at=drain.now())
    handset.goto(f"{live_server.url}/phone/{phone.secret_of(fresh)}/")
    handset.get_by_text("All are on the sheet.").wait_for()
    assert order.photos.filter(role="fault").count() == 2


def test_code_on_the_screen_shows_what_comes_in(
    browser: Browser, bench: SimpleNamespace, live_server: Any, order: Order, handset: Page, tmp_path: Path
) -> None:
    faults: list[str] = []
    row = order.phone_passes.get()
    page = bench_page(browser, walking.DESK, live_server.url, bench.technician, faults)
    page.goto(f"{live_server.url}/sheet/{order.code}/phone/{row.pk}/")
    audited(page, walking.DESK["width"])
    handset.locator("[name=photos]").set_input_files(files(tmp_path)[0])
    handset.get_by_text("All are on the sheet.").wait_for()
    page.locator("#arrived img").wait_for()
    assert not faults
