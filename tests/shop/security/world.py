"""The world behind the table of addresses: two orders of two customers with all that can hang on one, and the shop's rows."""

import datetime as dt
import hashlib
import io
from typing import Any

from PIL import Image

from intake import album, drafting, tokens
from intake.models import Customer, Letter, Order, Person, Photo
from intake.stations import Station
from quotes import good_boards, lots
from quotes.models import (
    BankLine,
    BankStatement,
    CardCheckout,
    CardEvent,
    ListWord,
    Part,
    Rates,
    Remedy,
    Surcharge,
    TradeTier,
)
from shop.bench import work
from shop.books import line_table, reading_keys
from shop.books.months import posting
from shop.books.months.collecting import collected
from shop.models import DataCopy
from shop.pictures import geometry, marks, phone
from tests import walk
from tests.shop.security.rooms import House, Things

DIGEST = hashlib.sha256(b"").hexdigest()


def jpeg(colour: str = "grey", size: tuple[int, int] = (40, 30)) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", size, colour).save(out, "JPEG")
    return out.getvalue()


def build(bench: Any) -> House:
    """The house of the table. `bench`: the fixture of that name."""
    at, by = dt.datetime.now(tz=dt.UTC), bench.technician
    mine = walk.to(walk.request(at=at), Station.GOODS_OUT, by=by, at=at)
    theirs = walk.request(
        at=at, name="Tobin Ashgrove", email="tobin.ashgrove@example.com", serial="ZZ-0777", phone="555-0102"
    )
    walk.to(theirs, Station.REPAIR, by=by, at=at)
    _, key = reading_keys.make_key(name="the accountant's sheet", by=bench.owner, at=at)
    return House(
        owner=bench.owner,
        technician=by,
        mine=_things(mine, "grey", by, at),
        theirs=_things(theirs, "olive", by, at),
        shop=_shop(bench, theirs, at),
        key=key,
    )


def _things(order: Order, colour: str, by: Person, at: dt.datetime) -> Things:
    photo = album.add_photo(
        order=order, content=jpeg(colour), role="outside", by=by.username, at=at, shown=True
    )
    mark = marks.add(
        photo=photo,
        mark=geometry.Mark(geometry.RING, 500, 500),
        said=marks.Said(),
        key=f"m-{order.pk}",
        by=by,
        at=at,
    )
    letter = Letter.objects.filter(order=order, papers__isnull=False).order_by("pk").first()
    assert letter is not None
    letter.photos.add(photo)
    copy = DataCopy.objects.create(
        order=order, key=f"copy-{order.pk}", files=1, medium="stick", listing=f"{DIGEST}  a.txt\n",
        listing_sha256=DIGEST, delete_on=at.date() + dt.timedelta(days=30), at=at, by=by,
    )  # fmt: skip
    paper = order.papers.filter(for_customer=True).order_by("pk").first()
    session = work.WorkSession.objects.filter(order=order).order_by("pk").first()
    opened = phone.open_pass(order=order, role="fault", by=by, at=at)
    draft_photo, resume = _draft(order, colour, at)
    assert paper is not None and session is not None
    kept = {
        "code": order.code,
        "photo_id": photo.pk,
        "mark_id": mark.pk,
        "paper_id": letter.papers.order_by("pk").first().pk,
        "number": 1,
        "shop:own_paper.pk": paper.pk,
        "shop:own_photo.pk": photo.pk,
        "shop:own_copy_list.pk": copy.pk,
        "shop:copy_list.pk": copy.pk,
        "shop:mend_minutes.pk": session.pk,
        "shop:phone_in.token": phone.secret_of(opened),
        "shop:open_link.token": tokens.address_of(tokens.give_link(order, at=at)).rstrip("/").rsplit("/", 1)[1],
        "intake:resume.token": resume,
        "intake:draft_photo.photo_id": draft_photo.pk,
        **{f"shop:{name}.pk": opened.pk for name in ("phone_code", "phone_arrived", "phone_end")},
        **{
            f"shop:{name}.pk": letter.pk
            for name in (
                "letter", "letter_html", "letter_again", "letter_arrived", "letter_to", "letter_close",
                "demo_letter", "demo_letter_html", "demo_letter_paper", "demo_letter_photo",
            )
        },
    }  # fmt: skip
    return Things(order, photo, kept)


def _draft(order: Order, colour: str, at: dt.datetime) -> tuple[Photo, str]:
    draft, token = drafting.start(sender=f"sender of {order.code}", at=at)
    photo = album.add_photo(draft=draft, content=jpeg(colour), role="customer", by="customer", at=at)
    return photo, token


def _shop(bench: Any, order: Order, at: dt.datetime) -> dict[str, dict[str, Any]]:
    """The rows that belong to no order, by the address that shows them."""
    part = Part.objects.order_by("pk").first()
    remedy, other = Remedy.objects.order_by("pk")[:2]
    assert part is not None and order.customer is not None
    Customer.objects.filter(pk=order.customer.pk).update(trade=True)
    lot = lots.open_lot(part=part, supplier="Anytown Parts", marks="L1", by=bench.technician, at=at)
    meter = good_boards.add_meter(name="Blue meter", note="", by=bench.technician, at=at)
    about = good_boards.GoodLine("G1", "Z7 main")
    good = good_boards.take_good(about=about, line="PP_MIC 0.451 V", key="g1", by=bench.technician, at=at)
    word = ListWord.objects.order_by("pk").first()
    key, _ = reading_keys.make_key(name="to be ended", by=bench.owner, at=at)
    surcharge = Surcharge.objects.create(name="Rush", kind="rush", amount=5)
    tier = TradeTier.objects.create(name="Shops", labour_factor="0.9", parts_factor="0.9")
    event = CardEvent.objects.create(provider="offline", ident="e1", kind="paid", at=at)
    CardCheckout.objects.create(provider="offline", ident="c1", order=order, amount=5, currency="USD", at=at)
    line = _bank_line(bench, at)
    posting.post(month="2026-01", figures=collected("2026-01", at=at), at=at)
    rates = Rates.objects.order_by("-version").first()
    assert word is not None and rates is not None
    shop = {
        "queries": {"remedy": other.pk},
        "intake:step": {"step": "device"},
        "shop:strike_good": {"pk": good.pk},
        "shop:end_reading_key": {"pk": key.pk},
        "shop:table_json": {"key": line_table.KEY},
        "shop:books_file": {"key": line_table.KEY, "kind": "csv"},
        "shop:books_replay_file": {"kind": "csv"},
        "shop:books_month": {"month": "2026-01"},
        "shop:card_events": {"provider": "offline"},
        "shop:card_pretend": {"ident": "c1"},
        "shop:rates_version": {"version": rates.version},
        "shop:price_list_out": {"kind": "parts", "ending": "csv"},
        "shop:price_list_in": {"kind": "parts"},
        "shop:remedy": {"pk": remedy.pk},
        "shop:surcharge": {"pk": surcharge.pk},
        "shop:tier": {"pk": tier.pk},
        "shop:test_list": {"kind": "phone"},
        "shop:word_list": {"kind": word.kind},
        "shop:demo_bank": {"name": "statement.csv"},
    }
    shop |= {f"shop:{name}": {"pk": meter.pk} for name in ("meter", "switch_meter")}
    shop |= {f"shop:{name}": {"pk": lot.pk} for name in ("lot", "lot_label", "stop_lot", "open_lot")}
    shop |= {
        f"shop:{name}": {"pk": part.pk} for name in ("part", "receive_part", "count_part", "describe_part")
    }
    shop |= {
        f"shop:{name}": {"pk": order.customer.pk}
        for name in (
            "trade_customer",
            "trade_end",
            "trade_statement",
            "one_person",
            "person_out",
            "person_erase",
            "who_saw_person",
        )
    }
    shop |= {
        f"shop:{name}": {"pk": line.pk}
        for name in ("bank_confirm", "bank_by_hand", "bank_booked", "bank_payout", "bank_not_ours")
    }
    shop |= {f"shop:{name}": {"pk": event.pk} for name in ("card_again", "card_aside")}
    shop |= {f"shop:{name}": {"pk": remedy.pk} for name in ("merge_remedy", "part_remedy")}
    shop |= {
        f"shop:{name}": {"pk": word.pk}
        for name in ("list_word", "rename_word", "word_volts", "retire_word", "merge_word", "part_word")
    }
    shop |= {
        f"shop:{name}": {"pk": bench.technician.pk}
        for name in ("person", "person_password", "person_leave", "person_second_off")
    }
    return shop


def _bank_line(bench: Any, at: dt.datetime) -> BankLine:
    statement = BankStatement.objects.create(
        digest="1" * 64, form="csv", file_name="s.csv", currency="USD", at=at, by=bench.owner
    )
    return BankLine.objects.create(
        statement=statement, key="1" * 64, day=at.date(), amount=5, name="A payer", text="for the phone"
    )
