"""The sentence after an act: it links what is to be printed, and says what people typed as text."""

from datetime import datetime

from django.template import Context, Template

from shop.traveller.acting import print_now
from tests import walk


def test_text_of_people_stays_text_beside_the_links(bench: object, at: datetime) -> None:
    order = walk.receive(walk.request(at=at), by=bench.technician, at=at)  # type: ignore[attr-defined]
    order.papers.filter(maker="bag_label").update(title="<i>Label</i>")
    said = print_now(order, "In bag <b>7</b>.", ("bag_label",))
    shown = Template("{{ said }}").render(Context({"said": said}))
    label = order.papers.get(maker="bag_label")
    assert shown == (
        f'In bag &lt;b&gt;7&lt;/b&gt;. Print now: <a href="/paper/{label.pk}/">&lt;i&gt;Label&lt;/i&gt;</a>.'
    )
    plain = print_now(order, "In bag <b>7</b>.", ())
    assert Template("{{ said }}").render(Context({"said": plain})) == "In bag &lt;b&gt;7&lt;/b&gt;."
