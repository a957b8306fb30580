"""Good answers for every page of the request, and a browser without script that sends them."""

from typing import Any

from django.test import Client

GOOD: dict[str, dict[str, Any]] = {
    "device": {
        "kind": "phone",
        "make": "Zarnik",
        "model": "Z7",
        "colour": "grey",
        "serial": "ZZ-0417",
        "imei": "001001000000015",
    },
    "symptoms": {"symptoms": ["No picture"], "words": "Rings but nobody hears me."},
    "idea": {"idea": "The microphone is blown"},
    "before": {"before": ["It got wet"], "since": "since Sunday", "before_words": "My cousin opened it."},
    "data": {"data_wish": "needed", "backed_up": "no", "lock_wish": "test without"},
    "battery": {"signs": ["none"]},
    "box": {"in_the_box": ["The device", "Cable"], "other": "a note", "declared_value": "240"},
    "limit": {"standing_limit": "120.50"},
    "photos": {},
    "you": {
        "name": "Mara Ellwick",
        "email": "mara.ellwick@example.com",
        "phone": "555-0101",
        "country": "US",
        "street": "3 Nowhere Lane",
        "city": "Anytown",
        "area": "CA",
        "postcode": "90210",
    },
}
SLUGS = [*GOOD, "check"]


def url(slug: str) -> str:
    return f"/request/{slug}/"


def send(client: Client, slug: str, **changes: Any) -> Any:
    """Continue on one page, with good answers but for the changes."""
    return client.post(url(slug), {"act": "continue", **GOOD.get(slug, {}), **changes})


def fill(client: Client, until: str = "check") -> None:
    """Every page before `until`, with good answers."""
    for slug in SLUGS[: SLUGS.index(until)]:
        answer = send(client, slug)
        assert answer.status_code == 303, (slug, answer.content.decode())


def finish(client: Client, **changes: Any) -> Any:
    return client.post(url("check"), {"agreed": "on", "terms_version": "1", **changes})
