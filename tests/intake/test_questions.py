"""Questions and answers on the sheet: each once, each with its letter."""

import pytest

from intake import questions
from intake.models import Letter, Message
from intake.refusals import Refused
from tests import walk


@pytest.fixture
def order(bench, at):
    return walk.request(at=at)


def test_question_reaches_the_shop_once_and_changes_no_station(order, at):
    for _ in range(2):
        questions.ask(order=order, text=" When is it done? ", form_key="one", at=at)
    message = Message.objects.get()
    assert (message.text, message.who, message.from_customer) == ("When is it done?", "Mara Ellwick", True)
    letter = Letter.objects.get(kind="question_for_shop")
    assert letter.to == "bench@quillmere.example"
    assert letter.link is None, "the customer's link is the customer's alone"
    order.refresh_from_db()
    assert (order.station, order.version) == (20, 1)


def test_answer_goes_to_the_customer_and_closes_what_was_asked(order, bench, at):
    asked = questions.ask(order=order, text="When?", form_key="one", at=at)
    for _ in range(2):
        questions.answer(order=order, text="On Friday.", form_key="two", by=bench.technician, at=at)
    asked.refresh_from_db()
    assert asked.answered_at == at
    assert Letter.objects.get(kind="answer").to == "mara.ellwick@example.com"


@pytest.mark.parametrize("text", ["", "  \n ", "x" * (questions.LONGEST + 1)])
def test_empty_or_endless_message_is_refused_beside_its_field(order, at, text):
    with pytest.raises(Refused) as refused:
        questions.ask(order=order, text=text, form_key="one", at=at)
    assert refused.value.field == "text"
    assert not Message.objects.exists()
