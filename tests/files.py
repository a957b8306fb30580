"""Where the tests' files lie: in the folder of the run, whatever a shop keeps them in."""

from pathlib import Path

from django.core.files.storage import storages

from intake.file_store import name_of


def stored_path(digest: str, *, folder: str, suffix: str) -> Path:
    return Path(storages["default"].path(name_of(digest, folder=folder, suffix=suffix)))
