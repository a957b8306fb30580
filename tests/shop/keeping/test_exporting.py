"""Everything about a person, and nothing of anybody else, in one ZIP."""

import io
import json
import zipfile

import pytest
from django.core.management import CommandError, call_command

from intake.models import HistoryEntry, Photo
from shop.keeping import exporting, register
from shop.models import Sight


@pytest.fixture(autouse=True)
def _papers_are_not_drawn(monkeypatch):
    """That papers can be drawn is proved elsewhere."""
    monkeypatch.setattr(exporting.paper_files, "content", lambda paper, *, at: b"%PDF-")


def test_export_holds_every_mark_of_the_person_and_none_of_another(mara, pia, at):
    with zipfile.ZipFile(exporting.archive(mara.customer, at=at)) as archive:
        told = json.loads(archive.read("data.json"))
        texts = {
            name: archive.read(name).decode(errors="ignore")
            for name in archive.namelist()
            if not name.endswith((".pdf", ".jpg"))
        }
        names = archive.namelist()
    assert told["orders"] == [mara.order.code]
    whole = "".join(texts.values())
    given = {key: mark for key, mark in mara.marks.items() if key != ("intake.Draft", "from_address")}
    missing = {key for key, mark in given.items() if mark not in whole}
    assert missing == set(), "each mark that was planted is given out"
    assert pia.word not in whole
    photos = Photo.objects.filter(order=mara.order)
    assert {f"photos/{mara.order.code}-{photo.pk}-{photo.role}.jpg" for photo in photos} <= set(names)
    assert any(name.endswith("-INV-00001.pdf") or "invoice" in name for name in names)


def test_every_class_of_a_person_is_in_the_data(mara, at):
    told = exporting.data(mara.customer, at=at)
    for cls in exporting.GIVEN:
        assert told[register.CLASSES[cls]], cls


def test_what_the_shop_pays_is_not_given_out(mara, at):
    told = json.dumps(exporting.data(mara.customer, at=at))
    assert "unit cost" not in told
    assert "shop cost" not in told


def test_command_writes_the_file_once_and_the_history_tells_of_it(mara, tmp_path, capsys):
    place = tmp_path / "mara.zip"
    call_command("export_person", mara.order.code, str(place))
    assert zipfile.is_zipfile(io.BytesIO(place.read_bytes()))
    assert place.stat().st_mode & 0o077 == 0
    assert HistoryEntry.objects.get(what="person exported").facts["customer"] == mara.customer.pk
    with pytest.raises(CommandError, match="cannot be written"):
        call_command("export_person", mara.order.code, str(place))
    with pytest.raises(CommandError, match="No people fit"):
        call_command("export_person", "nobody@example.com", str(place))


def test_owner_takes_the_file_and_it_is_noted(client, bench, mara):
    client.force_login(bench.owner)
    answer = client.post(f"/settings/keeping/people/{mara.customer.pk}/out/")
    assert answer.status_code == 200
    assert answer["Cache-Control"] == "private, no-store"
    assert zipfile.is_zipfile(io.BytesIO(b"".join(answer.streaming_content)))
    assert Sight.objects.get(what="export").order == mara.order
