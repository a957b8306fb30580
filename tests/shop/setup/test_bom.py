"""The bill of materials names every locked package with the digests of its files, and no place to fetch them from."""

import json
import re
from pathlib import Path

import pytest
from cyclonedx.schema import SchemaVersion
from cyclonedx.validation.json import JsonStrictValidator

from shop.setup import bom
from shop.setup.lock import read_lock

ROOT = Path(__file__).resolve().parent.parent.parent.parent


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> str:
    place = tmp_path_factory.mktemp("bill") / "bom.json"
    assert bom.main([str(ROOT / "requirements.txt"), str(place)]) == 0
    return place.read_text(encoding="utf-8")


def test_bill_names_every_locked_package_with_its_digests(written):
    bill, lock = json.loads(written), read_lock(ROOT / "requirements.txt")
    pins = re.findall(r"(?m)^([A-Za-z0-9][\w.-]*)==([^\s;]+)", (ROOT / "requirements.txt").read_text())
    assert len(lock) == len(pins) == len(bill["components"])
    assert {(each["name"], each["version"]) for each in bill["components"]} == set(pins)
    digests = {digest for one in lock for digest in one.digests}
    assert digests == set(re.findall(r'"content": "([0-9a-f]{64})"', written))
    assert bom.missing_from(bill, lock) == []


def test_bill_is_what_its_format_asks(written):
    """The schema CycloneDX 1.6 itself, as the library that brings it checks it."""
    assert json.loads(written)["bomFormat"] == "CycloneDX"
    assert JsonStrictValidator(SchemaVersion.V1_6).validate_str(written) is None


def test_bill_names_no_place_to_fetch_from(written):
    assert re.findall(r"https?://[^\"]+", written) == ["http://cyclonedx.org/schema/bom-1.6.schema.json"]


def test_bill_that_lacks_one_is_noticed(written):
    bill, lock = json.loads(written), read_lock(ROOT / "requirements.txt")
    bill["components"][0]["externalReferences"][0]["hashes"].pop()
    assert bom.missing_from(bill, lock) == [f"{lock[0].name} {lock[0].version}"]


def test_bill_of_a_broken_lock_is_one_sentence(tmp_path, capsys):
    (tmp_path / "lock.txt").write_text("quillflux==1\n")
    assert bom.main([str(tmp_path / "lock.txt"), str(tmp_path / "bom.json")]) == 1
    assert capsys.readouterr().err.count("\n") == 1
    assert not (tmp_path / "bom.json").exists()
