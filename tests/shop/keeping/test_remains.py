"""The log of writes is emptied only outside a transaction; that it leaves no word is shown by test_person_found_nowhere."""

import pytest
from django.db import connection

from shop.keeping import remains

pytestmark = pytest.mark.django_db


def test_inside_a_transaction_nothing_is_wiped() -> None:
    assert connection.in_atomic_block
    assert remains.wipe() is False
