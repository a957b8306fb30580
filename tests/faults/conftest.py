"""One nursery and one mail server for all that needs real processes."""

from collections.abc import Iterator

import pytest

from tests.faults.house import House, house_of
from tests.faults.mail_server import Post, mail_server
from tests.faults.scratch import Nursery, database, nursery, shop


@pytest.fixture(scope="session")
def _post() -> Iterator[Post]:
    with mail_server(pause=0.004) as post:
        yield post


@pytest.fixture(scope="session")
def _shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    with shop(tmp_path_factory.mktemp("shop")) as address:
        yield address


@pytest.fixture(scope="session")
def nurse(_post: Post, _shop: str, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Nursery]:
    with nursery(tmp_path_factory.mktemp("scratch"), mail_port=_post.port, like=_shop) as nurse:
        yield nurse


@pytest.fixture
def post(_post: Post) -> Post:
    """The mail server the nursery's children send to, with nothing in it."""
    _post.mails.clear()
    return _post


@pytest.fixture(scope="session")
def _house(_post: Post, _shop: str, tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    folder = tmp_path_factory.mktemp("house")
    with database(folder, like=_shop) as address, house_of(folder, address=address, post=_post) as house:
        yield house


@pytest.fixture
def house(_house: House, post: Post) -> Iterator[House]:
    """A whole shop over a database of its own, closed; a test opens it and what it leaves running is killed."""
    env = dict(_house.env)
    yield _house
    _house.close()
    _house.env = env
    post.pause, post.light = 0.004, False
