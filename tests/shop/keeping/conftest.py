"""People whose every word is marked: walked home through the real actions, then a mark in every column of the register."""

from pathlib import Path

import pytest
from django.test import override_settings

from shop.keeping import sights
from tests.shop.keeping.marked import Marked, marked_person


@pytest.fixture(autouse=True)
def _own_data(tmp_path: Path):
    """The list of the erased lies in a folder of the test; who was noted is forgotten."""
    sights.forget_noted()
    with override_settings(DATA=tmp_path, MEDIA_ROOT=tmp_path / "media"):
        yield
    sights.forget_noted()


@pytest.fixture
def mara(bench, at) -> Marked:
    return marked_person("zqa", by=bench.owner, at=at)


@pytest.fixture
def pia(bench, at, mara) -> Marked:
    return marked_person("zqb", by=bench.owner, at=at)
