"""Makes a backup and lays it open beside the house, unpacked, so that its bytes can be searched."""

import gzip
import subprocess
import tarfile
from io import StringIO
from pathlib import Path

from django.conf import settings
from django.core.management import call_command


def lay_open() -> Path:
    """The folder with everything that is in the newest backup, databases as plain bytes or text."""
    from shop.backup import keys, making, sealed
    from shop.models import BackupSet

    call_command("backup", stdout=StringIO())
    place = Path(settings.DATA) / "newest"
    place.mkdir()

    def unpack(tar: tarfile.TarFile) -> None:
        tar.extractall(place, filter="data")

    sealed.unseal(making.file_of(BackupSet.objects.latest("began_at").name), keys.opening(), unpack)
    for file in [*place.rglob("*.gz")]:
        file.with_suffix("").write_bytes(gzip.decompress(file.read_bytes()))
    for file in [*place.rglob("*.dump")]:
        subprocess.run(["pg_restore", "-f", str(file.with_suffix(".sql")), str(file)], check=True)
    assert any(file.suffix in (".sqlite3", ".sql") for file in place.rglob("*"))
    return place
