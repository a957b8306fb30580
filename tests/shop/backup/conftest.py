"""A house with a folder of its own for data, files and backups."""

from pathlib import Path
from typing import Any

import pytest
from django.core.files.storage import storages


@pytest.fixture
def house(tmp_path: Path, settings: Any) -> Path:
    """BENCHPOST_DATA of the test."""
    settings.DATA = tmp_path / "house"
    settings.BACKUP_FOLDER = settings.DATA / "backups"
    settings.MEDIA_ROOT = settings.DATA / "media"
    for folder in (settings.DATA, settings.BACKUP_FOLDER, settings.MEDIA_ROOT):
        folder.mkdir(mode=0o700)
    settings.BACKUP_RECIPIENTS, settings.BACKUP_IDENTITY = [], ""
    assert storages["default"].path("x") == str(settings.MEDIA_ROOT / "x")
    return settings.DATA
