"""The shapes Django wants of a database and of a mail server, with what the house demands of each."""

from typing import Any

MAIL_PORTS = {"smtp": 25, "smtps": 465, "smtp+starttls": 587}
FOLDER_MAIL = "django.core.mail.backends.filebased.EmailBackend"
MEMORY_MAIL = "django.core.mail.backends.locmem.EmailBackend"
SERVER_MAIL = "django.core.mail.backends.smtp.EmailBackend"
# WAL lets pages be read while an order is written; FULL keeps a confirmed order through a power cut;
# secure_delete leaves no readable remains of an erased person.
SQLITE_START = (
    "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA secure_delete=ON; "
    "PRAGMA recursive_triggers=ON; PRAGMA foreign_keys=ON;"
)
SQLITE_WAIT_SECONDS = 20
# A connection that died in the pool is noticed before a page uses it.
CHECKED = {"CONN_HEALTH_CHECKS": True}
# Given up early, so that an absent server is said to people soon and met again within seconds of its return.
POOL = {"min_size": 1, "max_size": 10, "timeout": 5, "reconnect_timeout": 5}


def sqlite_file(path: str) -> dict[str, Any]:
    """SQLite in the file `path`."""
    return {
        "ENGINE": "django.db.backends.sqlite3",
        "NAME": path,
        "CONN_MAX_AGE": None,
        "OPTIONS": {
            "init_command": SQLITE_START,
            "transaction_mode": "IMMEDIATE",
            "timeout": SQLITE_WAIT_SECONDS,
        },
    }


def postgres_server(found: dict[str, Any]) -> dict[str, Any]:
    """PostgreSQL as django-environ read it, with a pool, which keeps connections alive by itself: Django refuses both."""
    options = {**found.get("OPTIONS", {}), "pool": POOL}
    return {
        **found,
        "ENGINE": "django.db.backends.postgresql",
        "OPTIONS": options,
        "CONN_MAX_AGE": 0,
        **CHECKED,
    }


def mail_route(backend: str, **given: Any) -> dict[str, Any]:
    """Keys backend, file_path, host, port, user, password, starttls, tls; what is not given stays empty."""
    blank = {
        "file_path": None,
        "host": "",
        "port": 25,
        "user": "",
        "password": "",
        "starttls": False,
        "tls": False,
    }
    return {"backend": backend, **blank, **given}
