"""Steps through the demonstration, each with the page it happens on; those of the money are in `money_tour`."""

from dataclasses import dataclass

from django.urls import reverse

from intake import tokens
from intake.models import CustomerLink, Order, Person
from shop.demo.base import PASSWORDS


@dataclass(frozen=True)
class TourStep:
    """`url` is "" where that order is not in this world; `sign_in`: the page asks for a member of staff first.

    `more`: further links, each its words and its address.
    """

    title: str
    words: str
    act: str
    url: str
    sign_in: bool = True
    more: tuple[tuple[str, str], ...] = ()


ORDERS = {
    "Mara Ellwick": (
        "The idea and the finding",
        (
            "Mara thought the microphone was blown. Read her idea beside the finding, then the pair of readings at the "
            "same point: open before, 0.452 after. The price lay under the sum she had agreed to before, so work began at once."
        ),
    ),
    "Ines Varrow": (
        "Whose clock, and a change in the middle",
        (
            "A part had to come, then a second fault showed. Follow whose time ran, and how a second quote was agreed before "
            "the work went on. It went home one day after the first promise; the books say so."
        ),
    ),
    "Garrick Vole": (
        "Proof of how it arrived",
        (
            "The serial on the form was not the one on the phone, and the SIM tray was missing. See what was noted at the "
            "opening, with the time, and how the slip was cleared up before anybody began."
        ),
    ),
}
CUSTOMER = "Yusra Kell"


def steps() -> list[TourStep]:
    """Three queries."""
    codes = newest_codes([*ORDERS, CUSTOMER])
    made = [
        TourStep(title, words, f"Open {name.split()[0]}'s sheet", sheet_of(codes.get(name)))
        for name, (title, words) in ORDERS.items()
    ]
    made.append(
        TourStep(
            "Why did a busy month leave so little?",
            "Every bench minute counts, paid for or not. Look what lost money, and what an hour really earned. Sign in as "
            "the owner; the technician may not see it.",
            "Open the books",
            f"{reverse('shop:books')}?period=30",
        )
    )
    made.append(
        TourStep(
            "Would another rule have left more?",
            "Run the year again with cover bought above 100 and no more than an hour of looking. The lost parcel's 140 come back "
            "and Lenka's board is sent home sooner, but Dov's pictures are given up. Both sides are counted.",
            "Run the year again",
            f"{reverse('shop:books_replay')}?cover_above=100&cover_percent=1&cover_fixed=1&stop_after=60#came-out",
        )
    )
    made.append(
        TourStep(
            "Answer as the customer",
            "Yusra's quote is waiting. Open her link, as she gets it by letter: no account, no payment. Say yes, no, or "
            "ask; then read the letters that went out.",
            "Open Yusra's window",
            window_of(codes.get(CUSTOMER)),
            sign_in=False,
        )
    )
    return made


def people() -> list[tuple[Person, str]]:
    """The log-ins, as long as they are those the world was made with."""
    rows = Person.objects.filter(username__in=PASSWORDS, is_active=True).order_by("role", "username")
    return [(person, PASSWORDS[person.username]) for person in rows]


def newest_codes(names: list[str]) -> dict[str, str]:
    rows = Order.objects.filter(customer__name__in=names).order_by("created_at")
    return dict(rows.values_list("customer__name", "code"))


def sheet_of(code: str | None) -> str:
    return reverse("shop:sheet", args=[code]) if code else ""


def window_of(code: str | None) -> str:
    """The link that stands in the customer's letters; looked up, not made: a page that is looked at changes nothing."""
    link = CustomerLink.objects.filter(order__code=code, revoked_at__isnull=True).order_by("-pk").first()
    address = tokens.address_of(link) if link else ""
    # The path alone, so that it also works where the demonstration is looked at under another name.
    return "/" + address.split("//", 1)[1].split("/", 1)[1] if address else ""
