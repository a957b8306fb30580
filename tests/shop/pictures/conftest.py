"""An order at diagnosis with one photo of its fault, and the technician's browser."""

import io
from collections.abc import Callable
from datetime import datetime
from types import SimpleNamespace

import pytest
from django.test import Client
from PIL import Image

from intake import album
from intake.models import Order, Photo
from intake.stations import Station
from tests import walk

SIZE = (800, 600)


def jpeg(colour: str = "#557755", size: tuple[int, int] = SIZE) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", size, colour).save(out, "JPEG", quality=90)
    return out.getvalue()


@pytest.fixture
def staff(bench: SimpleNamespace) -> Client:
    client = Client()
    client.force_login(bench.technician)
    return client


@pytest.fixture
def order(bench: SimpleNamespace, at: datetime) -> Order:
    return walk.to(walk.request(at=at), Station.DIAGNOSIS, by=bench.technician, at=at)


@pytest.fixture
def snap(order: Order, at: datetime) -> Callable[..., Photo]:
    """Puts one more photo on the sheet."""

    def take(colour: str = "#557755", role: str = "fault", **more: object) -> Photo:
        return album.add_photo(content=jpeg(colour), role=role, by="tarn", at=at, order=order, **more)  # type: ignore[arg-type]

    return take


@pytest.fixture
def photo(snap: Callable[..., Photo]) -> Photo:
    return snap(caption="Lifted pad")
