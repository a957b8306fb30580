"""A real mail server to fail against: aiosmtpd on a free port, with a say in each answer."""

import asyncio
import email
import os
import signal
import socket
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from email.message import Message
from typing import Any

from aiosmtpd.controller import Controller

ACCEPTED = "250 accepted"


@dataclass
class Post:
    """What arrived, and how the server behaves. `mails` holds a mail as soon as the server has all of it."""

    mails: list[tuple[str, Message]] = field(default_factory=list)
    on_recipient: str = "250 OK"
    on_data: str | Callable[[], str] = ACCEPTED
    drop_after_data: bool = False
    pause: float = 0.0
    kill_on_data: int = 0
    port: int = 0
    light: bool = False  # thousands of letters: what hangs on them is let go

    async def handle_RCPT(
        self, _server: Any, _session: Any, envelope: Any, address: str, _options: Any
    ) -> str:
        if self.on_recipient.startswith("250"):
            envelope.rcpt_tos.append(address)
        return self.on_recipient

    async def handle_DATA(self, server: Any, _session: Any, envelope: Any) -> str:
        answer = self.on_data() if callable(self.on_data) else self.on_data
        if answer.startswith("250"):
            mail = email.message_from_bytes(envelope.content)
            for part in mail.walk() if self.light else ():
                if part.get_content_maintype() == "application":
                    part.set_payload("")
            self.mails.append((envelope.rcpt_tos[0], mail))
        if self.kill_on_data:
            os.kill(self.kill_on_data, signal.SIGKILL)
            self.kill_on_data = 0
        if self.drop_after_data:
            server.transport.abort()
        if self.pause:
            await asyncio.sleep(self.pause)
        return answer

    def copies(self) -> dict[str, list[Message]]:
        """The mails by address, in the order they arrived."""
        found: dict[str, list[Message]] = {}
        for to, mail in self.mails:
            found.setdefault(to, []).append(mail)
        return found


def text_of(mail: Message) -> str:
    """The plain text of a mail."""
    part = next(each for each in mail.walk() if each.get_content_type() == "text/plain")
    return part.get_payload(decode=True).decode()


@contextmanager
def mail_server(**behaviour: Any) -> Iterator[Post]:
    post = Post(**behaviour)
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        post.port = probe.getsockname()[1]
    controller = Controller(post, hostname="127.0.0.1", port=post.port)
    controller.start()
    try:
        yield post
    finally:
        controller.stop()
