"""The ground every test stands on must itself be proven."""

import pytest
from django.db import DatabaseError, connection, transaction

from intake import history
from intake.models import HistoryEntry


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("turn", [1, 2])
def test_committed_history_is_gone_before_the_next_test_and_guarded_again(turn, at):
    assert not HistoryEntry.objects.exists()
    with transaction.atomic():
        history.record(order=None, what="shop opened", by="test", at=at, facts={"turn": turn})
    with pytest.raises(DatabaseError, match="only ever added to"), connection.cursor() as cursor:
        cursor.execute("DELETE FROM intake_historyentry")
