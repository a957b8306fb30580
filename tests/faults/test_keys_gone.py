"""The keys that seal unlock codes are gone or are others: the house runs, the codes cannot be read, nothing is overwritten."""

import pytest

from intake.lifecycle import CUSTOMER
from intake.refusals import Refused
from intake.stations import Station
from shop.models import UnlockCode
from shop.vault import sealing
from shop.vault import unlocking as codes
from tests import walk

pytestmark = pytest.mark.faults


@pytest.fixture
def sealed(bench, at, settings, tmp_path):
    """An order with a code, and the file of its key."""
    settings.DATA, settings.CODE_KEYS = tmp_path, ""
    order = walk.to(walk.request(at=at), Station.DIAGNOSIS, by=bench.technician, at=at)
    codes.give(order=order, shape="digits", code="94737251", by=CUSTOMER, at=at)
    return order, tmp_path / "code.keys"


def show(order, bench, at) -> str:
    return codes.show(order=order, reason="touch", by=bench.technician, at=at).code


@pytest.mark.parametrize(
    "other", [None, sealing.written({"k1": bytes(32)}), sealing.written({"k9": bytes(32)}), "nonsense"]
)
def test_code_whose_key_is_away_cannot_be_read_until_the_key_is_back(sealed, bench, client, at, other):
    order, place = sealed
    right, row = place.read_text(), UnlockCode.objects.values().get()
    place.unlink()
    if other is not None:
        place.write_text(other)
    with pytest.raises(Refused):
        show(order, bench, at)
    client.force_login(bench.technician)
    assert client.get(f"/sheet/{order.code}/").status_code == 200
    assert UnlockCode.objects.values().get() == row, "what is sealed stays as it was"
    assert other is None or place.read_text() == other, "a file of keys is never written over"
    place.write_text(right)
    assert show(order, bench, at) == "94737251"
