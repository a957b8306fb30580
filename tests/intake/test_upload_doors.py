"""The way a file comes in and goes out: its name decides nothing, a day has its share, and a picture is only ever a picture."""

import io
from pathlib import Path

import pytest
from django.conf import LazySettings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from PIL import Image

from intake import visits
from intake.models import Letterhead, Photo
from tests.files import stored_path
from tests.intake import request_walk

NAMES = (
    "../../../../etc/cron.d/x.jpg", "..\\..\\boot.jpg", "/etc/passwd", "C:\\x\\y.jpg", "a.php", "a.jpg.svg", "a\r\nX-Injected: 1.jpg",
    "a\0.jpg", "<img src=x onerror=alert(1)>.jpg", "'; DROP TABLE x;--.jpg", ".htaccess", "CON", "\u202egpj.exe", "x" * 300 + ".jpg",
)  # fmt: skip


def picture(name: str, number: int = 0) -> SimpleUploadedFile:
    out = io.BytesIO()
    Image.new("RGB", (40, 30 + number), "olive").save(out, "JPEG")
    return SimpleUploadedFile(name, out.getvalue(), content_type="text/html")


@pytest.fixture
def at_photos(client: Client, letterhead: Letterhead) -> Client:
    request_walk.fill(client, until="photos")
    return client


def test_name_of_a_file_decides_nothing(at_photos: Client, settings: LazySettings) -> None:
    """ASVS 5.0, 5.3.2 and 5.4.1: the file lies under its digest, and the name is told back only as text."""
    before = {path for path in Path(settings.MEDIA_ROOT).rglob("*") if path.is_file()}
    for number, name in enumerate(NAMES[:8]):
        answer = request_walk.send(at_photos, "photos", photos=[picture(name, number)])
        assert answer.status_code == 303 and "X-Injected" not in answer.headers
    made = {path for path in Path(settings.MEDIA_ROOT).rglob("*") if path.is_file()} - before
    rows = Photo.objects.all()
    assert rows.count() == 8
    assert made == {Path(stored_path(row.sha256, folder="photos", suffix=".jpg")) for row in rows}
    for name in NAMES:
        answer = request_walk.send(at_photos, "photos", photos=[picture(name)])
        assert "There are 8 photos already" in answer.content.decode()
        assert "<img src=x" not in answer.content.decode()


def test_picture_is_served_as_a_picture_and_to_nobody_else(at_photos: Client) -> None:
    """ASVS 5.0, 3.2.1, 3.4.4, 3.5.8 and 14.3.2."""
    request_walk.send(at_photos, "photos", photos=[picture("a.svg")])
    address = f"/request/photo/{Photo.objects.get().pk}/"
    answer = at_photos.get(address)
    assert answer.headers["Content-Type"] == "image/jpeg"
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert answer.headers["Cross-Origin-Resource-Policy"] == "same-origin"
    assert "no-store" in answer.headers["Cache-Control"]
    policy = answer.headers["Content-Security-Policy"]
    assert "sandbox" in policy and "default-src 'none'" in policy
    assert answer.content.startswith(b"\xff\xd8\xff")
    assert Client().get(address).status_code == 404


def test_day_of_one_sender_has_its_share(at_photos: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    """ASVS 5.0, 5.2.4. Adding and removing again does not give the share back."""
    monkeypatch.setattr(visits, "BYTES_A_DAY", 2000)
    size = picture("a.jpg").size
    assert size is not None and 500 < size < 1000
    ends = []
    for number in range(4):
        answer = request_walk.send(at_photos, "photos", photos=[picture("a.jpg", number)])
        ends.append(answer.status_code)
        for photo in Photo.objects.all():
            at_photos.post(request_walk.url("photos"), {"act": f"remove-{photo.pk}"})
    assert ends[0] == 303 and ends[-1] == 422
    assert "from your connection today" in answer.content.decode()
    assert Photo.objects.count() == 0
