"""The mark of a restore that has not ended: a file in the data folder, and on PostgreSQL a table in the database as well.

What bears it looks finished and is not: its letters wait as they did when the backup was made, and would all go again.
"""

from pathlib import Path

from django.conf import settings
from django.db import connection

FILE, TABLE = "HALF-RESTORED", "half_restored"
SAID = (
    "A restore of this shop was cut off before its end, and opened like this it would send old letters again. "
    "Empty the folder and the database, and restore once more."
)


def is_half_restored() -> bool:
    """Whether the folder of this machine or the database it names bears the mark."""
    if (Path(settings.DATA) / FILE).exists():
        return True
    # A machine that only names the database never had the folder.
    return connection.vendor == "postgresql" and TABLE in connection.introspection.table_names()
