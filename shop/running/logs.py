"""What is written down: one record a line, with the request it belongs to, and nothing of what people typed.

Pages are named by their route and never by their path, since links of customers lie in paths. Of an exception stand its
kind and where it happened; its words only where they come from the machine and not from a form.
"""

import logging
import secrets
import time
import traceback
from contextvars import ContextVar
from dataclasses import dataclass
from typing import Any

from pythonjsonlogger.json import JsonFormatter

NOWHERE, HIDDEN = "-", "(a page)"
LONGEST_WORDS = 200
# Their words name files, hosts and tables; those of others may quote what was typed.
SPOKEN = {
    "OSError",
    "ConnectionError",
    "TimeoutError",
    "OperationalError",
    "ImproperlyConfigured",
    "HistoryBroken",
    "BackupFault",
}
# What a worker's own records repeat of a task: what it was given, and what the database said of a row.
REPEATED = {"exc", "args", "kwargs", "return_value", "traceback"}


@dataclass
class Request:
    """What the records of one request say of it. `who` is a staff number, customer or stranger."""

    mark: str
    method: str = ""
    route: str = ""
    who: str = ""


_now: ContextVar[Request | None] = ContextVar("request", default=None)


def begin(method: str) -> Request:
    """From here on all records of this thread or task belong to a new request."""
    request = Request(secrets.token_hex(8), method)
    _now.set(request)
    return request


def end() -> None:
    _now.set(None)


def current() -> Request | None:
    """The request under way."""
    return _now.get()


def reference() -> str:
    """The mark of the request under way, as it is told to people; empty outside of one."""
    request = _now.get()
    return request.mark if request else ""


class Tell(logging.Filter):
    """Adds the request to each record, and takes paths out of those of others."""

    def filter(self, record: logging.LogRecord) -> bool:
        request = _now.get()
        record.mark = request.mark if request else NOWHERE
        record.route = request.route if request else ""
        record.who = request.who if request else ""
        if record.name.startswith("django.security."):
            # What was refused there is in the words: a host, an origin, a path.
            record.msg, record.args = f"Refused: {record.name.rpartition('.')[2]}", ()
        if record.name.startswith(("django.", "waitress")) and isinstance(record.args, tuple):
            record.args = tuple(
                HIDDEN if isinstance(one, str) and one.startswith("/") else one for one in record.args
            )
        if record.name.startswith("celery") and isinstance(record.args, dict):
            record.args = {**record.args, **dict.fromkeys(REPEATED & record.args.keys(), "(left out)")}
        return True


def kind_of(fault: BaseException) -> str:
    """Its kind, with its words where they may be said."""
    words = ""
    if SPOKEN & {kind.__name__ for kind in type(fault).__mro__}:
        words = ": " + " ".join(str(fault).split())[:LONGEST_WORDS]
    return f"{type(fault).__name__}{words}"


def told(fault: BaseException) -> str:
    """Kind, words where they may be said, and the places from the outermost to the innermost, in one line."""
    places = " > ".join(
        f"{frame.filename.rsplit('site-packages/', 1)[-1]}:{frame.lineno} {frame.name}"
        for frame in traceback.extract_tb(fault.__traceback__)
    )
    return f"{kind_of(fault)} at {places}" if places else kind_of(fault)


class Lines(JsonFormatter):
    """One JSON object a line: time (UTC), level, logger, message, request, route, who, fault and what the record adds."""

    def converter(self, seconds: float | None) -> time.struct_time:
        return time.gmtime(seconds)

    def __init__(self) -> None:
        super().__init__("%(message)s", json_ensure_ascii=True)

    def add_fields(
        self, log_data: dict[str, Any], record: logging.LogRecord, message_dict: dict[str, Any]
    ) -> None:
        """Only what is named here goes out, whatever else a record carries."""
        log_data |= {
            "time": f"{self.formatTime(record, '%Y-%m-%dT%H:%M:%S')}.{int(record.msecs):03d}Z",
            "level": record.levelname,
            "logger": record.name,
            "message": record.getMessage(),
            "request": getattr(record, "mark", NOWHERE),
        }
        log_data |= {name: value for name in ("route", "who") if (value := getattr(record, name, ""))}
        log_data |= getattr(record, "facts", {})
        if record.exc_info and record.exc_info[1] is not None:
            log_data["fault"] = told(record.exc_info[1])


class Plain(logging.Formatter):
    """The same for people to read. A line break in a message begins no new record."""

    def format(self, record: logging.LogRecord) -> str:
        facts = " ".join(f"{name}={value}" for name, value in getattr(record, "facts", {}).items())
        said = f"{self.formatTime(record)} {record.levelname} {record.name} [{getattr(record, 'mark', NOWHERE)}] "
        said += " ".join(part for part in (record.getMessage(), facts) if part)
        if record.exc_info and record.exc_info[1] is not None:
            said += f" | {told(record.exc_info[1])}"
        return said.replace("\r", "\\r").replace("\n", "\\n")


def logging_settings(form: str) -> dict[str, Any]:
    """The entry LOGGING of the settings; `form` is json or plain."""
    return {
        "version": 1,
        "disable_existing_loggers": False,
        "filters": {"tell": {"()": "shop.running.logs.Tell"}},
        "formatters": {
            "json": {"()": "shop.running.logs.Lines"},
            "plain": {"()": "shop.running.logs.Plain"},
        },
        "handlers": {"console": {"class": "logging.StreamHandler", "formatter": form, "filters": ["tell"]}},
        "root": {"handlers": ["console"], "level": "WARNING"},
        "loggers": {
            # Django hangs handlers of its own on these two.
            "django": {"handlers": [], "level": "WARNING", "propagate": True},
            "django.server": {"handlers": [], "level": "WARNING", "propagate": True},
            "benchpost": {"level": "INFO"},
            "weasyprint": {"level": "ERROR"},
            "fontTools": {"level": "ERROR"},
        },
    }
