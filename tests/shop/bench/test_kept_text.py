"""What is typed at a station is kept as it is typed, on both engines."""

from intake.stations import Station
from shop.bench import kept_text
from tests import walk


def test_sign_that_no_database_text_has_is_left_out(bench, at):
    order = walk.to(walk.request(at=at), Station.DIAGNOSIS, by=bench.technician, at=at)
    fields = {"words": "half a\x00 sentence"}
    kept_text.keep(order=order, station=Station.DIAGNOSIS, fields=fields, by=bench.technician, at=at)
    draft = kept_text.kept(order, Station.DIAGNOSIS)
    assert draft is not None and draft.fields == {"words": "half a sentence"}
