"""Who sends what in the demonstration: plain answers, all invented."""

from dataclasses import replace
from decimal import Decimal
from typing import Any

from intake.request_answers import AddressAnswer, RequestAnswers

MARA = RequestAnswers(
    kind="phone",
    make="Zarnik",
    model="Z7",
    colour="grey",
    serial="ZZ7-0012",
    imei="001001000000015",
    symptoms=["Nobody hears me"],
    words="Rings but nobody hears me.",
    idea="My brother-in-law says the microphone is blown",
    before=["Opened or repaired before"],
    before_words="The socket was changed elsewhere in autumn.",
    data_wish="needed",
    backed_up="no",
    lock_wish="test without",
    standing_limit=Decimal("120.00"),
    in_the_box=["Phone", "Sleeve"],
    declared_value=Decimal("240.00"),
    name="Mara Ellwick",
    email="mara.ellwick@example.com",
    phone="555-0101",
    address=AddressAnswer("Mara Ellwick", "1 Nowhere Lane", "Anytown", "US", area="ZZ", postcode="00000"),
)


def person(name: str, number: int, **more: Any) -> RequestAnswers:
    """A request of somebody else: name, mail, phone and address follow from name and number."""
    plain = replace(
        MARA,
        name=name,
        email=f"{name.lower().replace(' ', '.')}@example.com",
        phone=f"555-01{number:02d}",
        address=AddressAnswer(name, f"{number} Nowhere Lane", "Anytown", "US", area="ZZ", postcode="00000"),
        serial=f"ZZ-{number:04d}",
        imei="",
        idea="",
        before=[],
        before_words="",
        standing_limit=None,
        symptoms=[],
        words="",
        data_wish="nice",
    )
    return replace(plain, **more)


TOBIN = person(
    "Tobin Quarrell", 2, make="Oblivu", model="One", idea="Battery", symptoms=["Does not start"],
    words="Battery is dead, please swap today, flight tomorrow.",
)  # fmt: skip
INES = person(
    "Ines Varrow", 3, kind="laptop", make="Oblivu", model="Folio 13", idea="I need a new board",
    symptoms=["Does not charge"], words="Tea.", before=["Got wet"], in_the_box=["Laptop", "Charger"],
    declared_value=Decimal("900.00"), data_wish="needed",
)  # fmt: skip
DOV = person(
    "Dov Pellam", 4, make="Plenthor", model="Note 5", symptoms=["Does not start"], data_wish="needed", lock_wish="ask",
    words="I only want the photos of my daughter.",
)  # fmt: skip
LENKA = person(
    "Lenka Mirosh", 5, kind="tablet", make="Zarnik", model="Slate 9", idea="Bad charging chip",
    symptoms=["Does not charge"], words="My cousin started it.", before=["Opened or repaired before"],
    in_the_box=["Tablet"],
)  # fmt: skip
PETRA = person(
    "Petra Quillan", 6, make="Oblivu", model="One", idea="Needs a software reset",
    symptoms=["Turns itself off"], words="It restarts all day.",
)  # fmt: skip
OSEI = person(
    "Osei Tamm", 7, kind="tablet", make="Quibbet", model="Tab Mini", idea="Screen", symptoms=["No picture"],
    words="Black screen.", in_the_box=["Tablet"], data_wish="no",
)  # fmt: skip
HOLLIS = person(
    "Hollis Wrenfield", 8, make="Quibbet", model="Phone 3", idea="Charging port",
    symptoms=["Does not charge"], words="Only charges at an angle.",
)  # fmt: skip
YUSRA = person(
    "Yusra Kell", 9, make="Plenthor", model="Note 5", idea="Screen glue failed",
    symptoms=["No picture"], words="The glass lifts on one side.",
)  # fmt: skip
GARRICK = person(
    "Garrick Vole", 10, make="Zarnik", model="Z7", serial="ZZ-0417", symptoms=["No signal"],
    words="No signal since it fell.", before=["Dropped"], in_the_box=["Phone", "SIM tray"],
)  # fmt: skip
STALLMERE = [
    person(
        "Stallmere Phones", 45, kind="board", make="Plenthor", model="Note 5", email="bench@stallmere.example",
        phone="01632 960 145", serial=f"SM-{number}", words="Board only. No charge.",
        symptoms=["Does not charge"], in_the_box=["Board"], declared_value=Decimal("60.00"), data_wish="no",
    )
    for number in (1, 2, 3, 4)
]  # fmt: skip
WENDELINE = person(
    "Wendeline Stroud", 12, make="Quibbet", model="Phone 3", symptoms=["Does not charge"],
    words="Same fault again.", in_the_box=["Phone"],
)  # fmt: skip
