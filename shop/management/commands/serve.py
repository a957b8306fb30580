"""The launcher of a one-machine shop: web server, letters and clock work in one process."""

import gc
import os
import signal
from typing import Any
from urllib.parse import urlsplit

import waitress
from django.conf import settings
from django.core.management import call_command, get_commands
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from shop.setup.database import Newer, bring_up_to_date, collect_static_files
from shop.setup.machine import Missing, look_at_libraries, look_at_port
from shop.setup.rounds import Rounds

THREADS = 4
MOST_CLIENTS = 800
LETTERS_AT_ONCE = 20
LETTER_PAUSE = 2.0
CLOCK_PAUSE = 60.0
LONG_WORK_PAUSE = 60.0
# Above the largest photo a page takes, so that the page and not the server says the kind sentence.
LARGEST_BODY = 256 * 1024 * 1024


class Command(BaseCommand):
    help = "Bring the database up to date and open the shop on this machine."
    # A wrong setting still stops the start: the checks run after the libraries were looked at.
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--port", type=int, default=None, help="else PORT, else the port of SITE_ADDRESS")
        parser.add_argument(
            "--host", default=os.environ.get("BIND", "") or "127.0.0.1", help="address to listen on"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        host, port = options["host"], options["port"] or _port()
        try:
            look_at_port(port, host)
            look_at_libraries()
        except Missing as sentence:
            raise CommandError(str(sentence)) from sentence
        self.check()
        try:
            copy = bring_up_to_date(timezone.now(), say=self.stdout.write)
        except Newer as sentence:
            raise CommandError(str(sentence)) from sentence
        if copy:
            self.stdout.write(f"The database was changed for this version; the copy from before is {copy}.")
        collect_static_files()
        self._open(host, port)

    def _open(self, host: str, port: int) -> None:
        from shop.wsgi import application  # noqa: PLC0415 -- it may be built only once the database is ready

        # What is loaded by now stays for good: not looked through again by each collection, a page of the books takes a tenth less.
        gc.collect()
        gc.freeze()
        server = waitress.create_server(application, **_server_options(host, port))
        for asked in (signal.SIGTERM, signal.SIGINT):
            signal.signal(asked, _leave)
        rounds = _rounds()
        self._welcome(port)
        for each in rounds:
            each.start()
        try:
            server.run()
        finally:
            self.stdout.write("Closing: the letter in hand is finished first.")
            finished = [each.stop() for each in rounds]
            server.close()
            self.stdout.write(
                "Closed." if all(finished) else "Closed; unfinished work goes on at the next start."
            )

    def _welcome(self, port: int) -> None:
        here = f"http://localhost:{port}"
        self.stdout.write(f"\nBenchpost is open at {here}/")
        if here != settings.SITE_ADDRESS:
            self.stdout.write(
                f"Links in letters and papers start with {settings.SITE_ADDRESS} (SITE_ADDRESS)."
            )
        if settings.DEMO and "demo_world" in get_commands():
            call_command("demo_world", "--if-empty", stdout=self.stdout)
        self.stdout.write("Stop with Ctrl+C.\n")
        self.stdout.flush()


def _port() -> int:
    given = os.environ.get("PORT", "").strip()
    if given and not given.isdecimal():
        raise CommandError(f"PORT is {given!r}; write a number, such as PORT=8001.")
    return int(given or urlsplit(settings.SITE_ADDRESS).port or 8000)


def _server_options(host: str, port: int) -> dict[str, Any]:
    options: dict[str, Any] = {
        "host": host,
        "port": port,
        "threads": THREADS,
        "ident": None,
        "channel_timeout": 60,
        # Clients that hang take a place each, and the common 100 are soon taken; poll counts no files beyond 1024 out.
        "connection_limit": MOST_CLIENTS,
        "asyncore_use_poll": True,
        "max_request_body_size": LARGEST_BODY,
    }
    if settings.SECURE_PROXY_SSL_HEADER:
        options |= {
            "trusted_proxy": settings.PROXY_ADDRESS,
            "trusted_proxy_headers": {"x-forwarded-proto", "x-forwarded-for"},
        }
    return options


def _rounds() -> list[Rounds]:
    """The work beside the pages; with Redis it belongs to the Celery worker and its beat."""
    if settings.REDIS_URL:
        return []
    from intake import drain  # noqa: PLC0415 -- a web server beside Celery needs neither
    from shop import clock  # noqa: PLC0415 -- as above

    letters = Rounds("letters", lambda: drain.drain(limit=LETTERS_AT_ONCE), LETTER_PAUSE)
    drain.set_waker(letters.wake)
    return [
        letters,
        Rounds("clock work", lambda: clock.tick(at=timezone.now()), CLOCK_PAUSE),
        Rounds("long work", lambda: clock.tick_long(at=timezone.now()), LONG_WORK_PAUSE),
    ]


def _leave(*_: object) -> None:
    raise SystemExit(0)
