"""One nursery and one mail server for all that needs real processes."""

from collections.abc import Iterator

import pytest

from tests.faults.mail_server import Post, mail_server
from tests.faults.scratch import Nursery, nursery


@pytest.fixture(scope="session")
def _post() -> Iterator[Post]:
    with mail_server(pause=0.004) as post:
        yield post


@pytest.fixture(scope="session")
def nurse(_post: Post, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Nursery]:
    with nursery(tmp_path_factory.mktemp("scratch"), mail_port=_post.port) as nurse:
        yield nurse


@pytest.fixture
def post(_post: Post) -> Post:
    """The mail server the nursery's children send to, with nothing in it."""
    _post.mails.clear()
    return _post
