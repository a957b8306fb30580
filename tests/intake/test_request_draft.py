"""The draft behind the request: found again, kept through lost cookies, sent once, guarded, let go."""

import datetime as dt
import html
import io
from typing import Any

import pytest
import time_machine
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from PIL import Image

from intake import drafting
from intake.models import Draft, Letter, Letterhead, Order, Photo
from tests.files import stored_path
from tests.intake import request_walk as walk

START = dt.datetime(2026, 2, 2, 9, 0, tzinfo=dt.UTC)
pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def head(letterhead: Letterhead) -> Letterhead:
    letterhead.symptoms = ["No picture"]
    letterhead.save()
    return letterhead


@pytest.fixture(autouse=True)
def clock() -> Any:
    with time_machine.travel(START, tick=False) as moved:
        yield moved


def text(answer: Any) -> str:
    return html.unescape(answer.content.decode())


def picture(
    colour: str = "red", name: str = "board.jpg", size: tuple[int, int] = (64, 48)
) -> SimpleUploadedFile:
    out = io.BytesIO()
    Image.new("RGB", size, colour).save(out, "JPEG")
    return SimpleUploadedFile(name, out.getvalue(), content_type="image/jpeg")


def resume_path(client: Client) -> str:
    return f"/request/resume/{client.cookies['draft'].value}/"


def test_cookie_is_closed_to_scripts_and_only_its_digest_is_kept(client: Client) -> None:
    walk.send(client, "device")
    cookie = client.cookies["draft"]
    assert (cookie["httponly"], cookie["samesite"]) == (True, "Lax")
    draft = Draft.objects.get()
    assert draft.expires_at - draft.started_at == dt.timedelta(days=30)
    assert cookie.value not in (draft.digest, draft.form_key)
    assert len(cookie.value) >= 43, "256 bits"


def test_link_opens_the_draft_in_another_browser(client: Client) -> None:
    walk.fill(client, until="data")
    path = resume_path(client)
    assert path in text(client.get(walk.url("data")))
    other = Client()
    answer = other.get(path)
    assert answer.headers["Location"] == "/request/data/#here"
    assert "no-store" in answer.headers["Cache-Control"]
    assert "Zarnik Z7" in text(other.get(walk.url("data")))
    assert Draft.objects.count() == 1


def test_unknown_or_old_link_gets_a_gentle_page(client: Client, clock: Any) -> None:
    walk.send(client, "device")
    assert client.get("/request/resume/nonsense/").status_code == 404
    clock.shift(dt.timedelta(days=31))
    answer = Client().get(resume_path(client))
    assert answer.status_code == 404
    assert "no longer here" in text(answer)


def test_sent_link_leads_to_the_window(client: Client, clock: Any) -> None:
    walk.fill(client)
    clock.shift(60)
    walk.finish(client)
    other = Client()
    assert other.get(resume_path(client)).headers["Location"] == f"/your/{Order.objects.get().code}/#top"


def test_lost_cookie_keeps_the_page_that_was_typed(client: Client) -> None:
    walk.fill(client, until="symptoms")
    other = Client()
    answer = walk.send(other, "symptoms", words="typed in a browser that forgot")
    assert answer.headers["Location"] == "/request/device/#here"
    assert "could not be found in this browser" in text(other.get(walk.url("device")))
    walk.send(other, "device")
    assert "typed in a browser that forgot" in text(other.get(walk.url("symptoms")))


def test_form_of_another_tab_goes_to_its_own_draft(client: Client) -> None:
    walk.fill(client, until="symptoms")
    first = client.cookies["draft"].value
    client.post("/request/another/")
    walk.send(client, "device", make="Plenthor")
    assert client.cookies["draft"].value != first
    walk.send(client, "symptoms", words="from the first tab", draft=first)
    assert client.cookies["draft"].value == first
    assert "Zarnik" in text(client.get(walk.url("symptoms")))
    assert "from the first tab" in text(client.get(walk.url("symptoms")))


def test_double_send_gives_one_order_one_letter_and_the_same_receipt(client: Client, clock: Any) -> None:
    walk.fill(client)
    clock.shift(60)
    first, second = walk.finish(client), walk.finish(client)
    assert first.headers["Location"] == second.headers["Location"]
    assert (Order.objects.count(), Letter.objects.count()) == (1, 1)
    assert Order.objects.get().form_key == Draft.objects.get().form_key, (
        "UNIQUE holds two sendings at one moment"
    )


def test_send_with_a_lost_cookie_uses_the_draft_on_the_page(client: Client, clock: Any) -> None:
    walk.fill(client)
    clock.shift(60)
    token = client.cookies["draft"].value
    assert walk.finish(Client(), draft=token).headers["Location"].startswith("/your/")
    assert walk.finish(client).headers["Location"] == f"/your/{Order.objects.get().code}/#top"


def test_page_of_a_sent_request_leads_to_its_window(client: Client, clock: Any) -> None:
    walk.fill(client)
    clock.shift(60)
    walk.finish(client)
    assert walk.send(client, "idea", idea="too late").headers["Location"].startswith("/your/")
    assert Order.objects.get().idea == "The microphone is blown"
    fresh = text(client.get(walk.url("device")))
    assert "Zarnik" not in fresh


def test_new_request_after_a_sent_one_starts_empty_and_makes_a_second_order(
    client: Client, clock: Any
) -> None:
    walk.fill(client)
    clock.shift(60)
    walk.finish(client)
    assert client.get("/request/").headers["Location"] == "/request/device/#top"
    assert 'name="draft" value=""' in text(client.get(walk.url("device")))
    assert walk.send(client, "device", draft="").headers["Location"] == "/request/symptoms/#here"
    walk.fill(client)
    clock.shift(60)
    walk.finish(client)
    assert Order.objects.count() == 2


def test_typing_is_kept_without_leaving_the_page(client: Client) -> None:
    walk.fill(client, until="symptoms")
    answer = client.post(
        walk.url("symptoms"), {"words": "half a sen"}, headers={"X-Requested-With": "benchpost"}
    )
    assert answer.json() == {"kept": True}
    assert "half a sen" in text(client.get(walk.url("symptoms")))
    assert client.get(walk.url("idea")).headers["Location"] == "/request/symptoms/#here"


def test_trap_field_is_answered_gently_and_nothing_is_sent(client: Client, clock: Any) -> None:
    walk.fill(client)
    clock.shift(60)
    answer = walk.finish(client, reference="buy things")
    assert answer.status_code == 429
    assert "please send again" in text(answer)
    assert Order.objects.count() == 0
    assert walk.finish(client).headers["Location"].startswith("/your/")


def test_request_sent_within_three_seconds_is_asked_to_wait(client: Client, clock: Any) -> None:
    walk.fill(client)
    clock.shift(2.9)
    answer = walk.finish(client)
    assert "Please wait a moment" in text(answer)
    assert Order.objects.count() == 0
    clock.shift(0.1)
    assert walk.finish(client).headers["Location"].startswith("/your/")


def test_one_sender_begins_twenty_requests_a_day_and_no_more(clock: Any) -> None:
    for _ in range(drafting.STARTED_A_DAY):
        assert walk.send(Client(), "device").status_code == 303
    answer = walk.send(Client(), "device", make="Oblivu")
    assert answer.status_code == 429
    assert "requests were begun from your connection today" in text(answer)
    assert "Oblivu" in text(answer)
    assert walk.send(Client(REMOTE_ADDR="192.0.2.7"), "device").status_code == 303
    clock.shift(dt.timedelta(days=1, seconds=1))
    assert walk.send(Client(), "device").status_code == 303


def test_one_sender_sends_ten_requests_a_day_and_no_more(client: Client, clock: Any) -> None:
    for _ in range(drafting.SENT_A_DAY):
        client.post("/request/another/")
        walk.fill(client)
        clock.shift(10)
        assert walk.finish(client).status_code == 303
    client.post("/request/another/")
    walk.fill(client)
    clock.shift(10)
    answer = walk.finish(client)
    assert answer.status_code == 429
    assert "Yours is kept here" in text(answer)
    assert Order.objects.count() == drafting.SENT_A_DAY


def test_address_of_the_sender_is_not_kept(client: Client) -> None:
    walk.send(client, "device")
    kept = Draft.objects.get().from_address
    assert len(kept) == 64
    assert "127.0.0.1" not in kept


def test_good_photos_are_kept_beside_bad_ones(client: Client) -> None:
    walk.fill(client, until="photos")
    liar = SimpleUploadedFile("photo.jpg", b"I am a text", content_type="image/jpeg")
    empty = SimpleUploadedFile("nothing.png", b"", content_type="image/png")
    answer = walk.send(client, "photos", photos=[picture(), liar, empty])
    assert answer.status_code == 422
    assert "photo.jpg: This is not a picture we can open." in text(answer)
    assert "nothing.png" in text(answer)
    assert Photo.objects.count() == 1
    assert walk.send(client, "photos").status_code == 303
    assert "1 photo" in text(client.get(walk.url("you")))


def test_photo_of_forty_megabytes_is_refused_beside_the_field(client: Client) -> None:
    walk.fill(client, until="photos")
    huge = SimpleUploadedFile("huge.jpg", b"\xff\xd8" + bytes(40_000_000), content_type="image/jpeg")
    answer = walk.send(client, "photos", photos=[huge])
    assert answer.status_code == 422
    assert "huge.jpg: This file has 40 MB. The most is 15 MB a picture." in text(answer)


def test_ninth_photo_is_refused_and_one_can_be_removed(client: Client) -> None:
    walk.fill(client, until="photos")
    shades = [picture(f"#{n}0{n}0{n}0", f"{n}.jpg") for n in range(1, 10)]
    answer = walk.send(client, "photos", photos=shades)
    assert "9.jpg: There are 8 photos already. Remove one first." in text(answer)
    first = Photo.objects.first()
    assert first
    assert client.post(walk.url("photos"), {"act": f"remove-{first.pk}"}).status_code == 303
    assert Photo.objects.count() == 7


def test_photo_is_served_to_its_own_draft_only(client: Client) -> None:
    walk.fill(client, until="photos")
    walk.send(client, "photos", photos=[picture()])
    path = f"/request/photo/{Photo.objects.get().pk}/"
    answer = client.get(path + "?px=64")
    assert (answer.status_code, answer.headers["Content-Type"]) == (200, "image/jpeg")
    assert "sandbox" in answer.headers["Content-Security-Policy"]
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert Client().get(path).status_code == 404
    other = Client()
    walk.send(other, "device")
    assert other.get(path).status_code == 404
    other.post(walk.url("photos"), {"act": f"remove-{Photo.objects.get().pk}"})
    assert Photo.objects.count() == 1


def test_photos_go_with_the_order(client: Client, clock: Any) -> None:
    walk.fill(client)
    walk.send(client, "photos", photos=[picture()])
    clock.shift(60)
    walk.finish(client)
    assert Photo.objects.get().order == Order.objects.get()


def test_drafts_go_after_their_time_with_photos_nobody_else_holds(
    client: Client, clock: Any, django_capture_on_commit_callbacks: Any
) -> None:
    walk.fill(client, until="photos")
    walk.send(client, "photos", photos=[picture("blue")])
    path = stored_path(Photo.objects.get().sha256, folder="photos", suffix=".jpg")
    assert path.exists()
    assert drafting.forget_expired(at=START) == 0
    with django_capture_on_commit_callbacks(execute=True):
        assert drafting.forget_expired(at=START + dt.timedelta(days=31)) == 1
    assert (Draft.objects.count(), Photo.objects.count(), path.exists()) == (0, 0, False)
