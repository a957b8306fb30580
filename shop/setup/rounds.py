"""A thread that does one piece of work again and again until it is told to stop."""

import logging
import threading
from collections.abc import Callable

from django.db import close_old_connections, connections

log = logging.getLogger("benchpost.rounds")
REST_AFTER_FAULT = 5.0


class Rounds:
    """Calls `work` at once, then every `pause` seconds or when `wake` is called. A fault is logged, never fatal."""

    def __init__(self, name: str, work: Callable[[], object], pause: float) -> None:
        self.name, self.work, self.pause = name, work, pause
        self._wake = threading.Event()
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._run, name=name, daemon=True)

    def start(self) -> None:
        self._thread.start()

    def wake(self) -> None:
        """Safe from any thread: the next round starts now."""
        self._wake.set()

    def stop(self, patience: float = 20.0) -> bool:
        """Lets the round in hand finish; False when it did not within `patience` seconds."""
        self._stop.set()
        self._wake.set()
        if self._thread.ident is not None:
            self._thread.join(patience)
        return not self._thread.is_alive()

    def _run(self) -> None:
        try:
            while not self._stop.is_set():
                self._wake.wait(self._one_round())
        finally:
            connections.close_all()

    def _one_round(self) -> float:
        self._wake.clear()
        try:
            close_old_connections()
            self.work()
        except Exception:
            log.exception("%s: this round failed, the next one starts in %.0f s", self.name, REST_AFTER_FAULT)
            return REST_AFTER_FAULT
        return self.pause
