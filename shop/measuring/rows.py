"""What is measured: the pages people wait for, the write they wait for, the papers they print."""

import datetime as dt
from collections.abc import Sequence

from django.conf import settings
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import NoReverseMatch, reverse

from intake import tokens
from intake.models import Paper
from intake.paper_files import content
from intake.papers.bag_label import BagLabel, bag_label_pdf
from intake.papers.html import pdf_from_html
from quotes import makers
from quotes.papers.quote import QuotePaper, quote_html, quote_pdf
from shop.measuring import floors
from shop.measuring.bench_rows import bench_rows
from shop.measuring.money_rows import QUOTES, money_rows
from shop.measuring.ratios import Deed, Row
from shop.measuring.world import World, send_request, staff_client

# Goals from the bare versions measured on one machine: twice a one-select page, 1.5 times three inserts,
# 1.15 times a bare layout, 1.2 times a bare label. The day sheet shows many orders: three times.
PAGE_GOAL, LIST_GOAL, WRITE_GOAL, PDF_GOAL, LABEL_GOAL = 2.0, 3.0, 1.5, 1.15, 1.2


def all_rows(world: World, *, at: dt.datetime, quotes: int = QUOTES) -> list[Row]:
    """Every row, those whose page is not there yet with the reason. `quotes`: how many the pricing prices."""
    return [
        _write(at),
        _page("sheet", "shop:sheet", [world.order.code], world, PAGE_GOAL, _staff(world)),
        _page("day sheet", "shop:day_sheet", [], world, LIST_GOAL, _staff(world)),
        _page("window", "shop:window", [world.order.code], world, PAGE_GOAL, _customer(world, at)),
        _quote(world, at),
        _label(world),
        *money_rows(world, at=at, quotes=quotes),
        *bench_rows(world, _staff(world), at=at),
    ]


def _staff(world: World) -> Client:
    return staff_client(world.owner)


def _customer(world: World, at: dt.datetime) -> Client:
    client = Client(SERVER_NAME="localhost")
    address = tokens.address_of(tokens.give_link(world.order, at=at))
    client.get(address.removeprefix(settings.SITE_ADDRESS))
    return client


def _queries(deed: Deed) -> int:
    deed()
    with CaptureQueriesContext(connection) as seen:
        deed()
    return len(seen)


def _page(name: str, url_name: str, args: Sequence[object], world: World, goal: float, client: Client) -> Row:
    floor_name = "page with one select"
    try:
        address = reverse(url_name, args=args)
    except NoReverseMatch:
        return Row(name, floor_name, goal)
    answer = client.get(address)
    if answer.status_code != 200:
        return Row(name, floor_name, goal, why=f"answered {answer.status_code}")
    floor = f"/floor/{world.order.pk}/"
    return Row(
        name,
        floor_name,
        goal,
        floor=lambda: client.get(floor),
        ours=lambda: client.get(address),
        queries=_queries(lambda: client.get(address)),
    )


def _write(at: dt.datetime) -> Row:
    return Row(
        "request",
        "transaction of three inserts",
        WRITE_GOAL,
        floor=lambda: floors.three_inserts(at),
        ours=lambda: send_request(at=at),
        queries=_queries(lambda: send_request(at=at)),
    )


def _quote(world: World, at: dt.datetime) -> Row:
    """In this process: the child that bounds a layout costs its start besides, whatever it lays out."""
    values = _values_of_the_quote(world, at)
    page = world.quote.letterhead.paper_size
    return Row(
        "quote PDF",
        "bare layout of the same HTML",
        PDF_GOAL,
        floor=floors.bare_pdf(quote_html(values), page=page),
        ours=lambda: quote_pdf(values, press=pdf_from_html),
    )


def _values_of_the_quote(world: World, at: dt.datetime) -> QuotePaper:
    """What the maker reads from the rows, caught where it hands it to the layout."""
    caught: list[QuotePaper] = []
    kept = makers.quote_pdf

    def catch(values: QuotePaper, **_: object) -> bytes:
        caught.append(values)
        return b""

    makers.quote_pdf = catch
    try:
        content(Paper.objects.get(maker="quote", ref=world.quote.pk), at=at)
    finally:
        makers.quote_pdf = kept
    return caught[0]


def _label(world: World) -> Row:
    label = BagLabel(code=world.order.code, device="Zarnik Z7, phone", bag="B-01")
    return Row(
        "bag label",
        "bare label with a Code 128",
        LABEL_GOAL,
        floor=floors.bare_label(world.order.code),
        ours=lambda: bag_label_pdf(label),
    )
