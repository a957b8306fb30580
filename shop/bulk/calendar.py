"""Working days, and how both engines take a moment, a day and rows in bulk."""

import datetime as dt
from collections.abc import Callable, Iterable, Sequence
from typing import Any

from django.db import connection, models

from shop.bulk.moulds import Later, Moment, columns

DAY = dt.timedelta(days=1)


class Calendar:
    """Monday to Friday from `first` up to the day before `upto`, UTC; a working day is named by its place."""

    def __init__(self, first: dt.date, upto: dt.date) -> None:
        span = (first + DAY * number for number in range((upto - first).days))
        self.days = [day for day in span if day.weekday() < 5]
        if connection.vendor == "sqlite":
            self.midnights: list[Any] = [f"{day.isoformat()} " for day in self.days]
            self.of_day: Callable[[int], Any] = lambda second: (
                f"{dt.datetime.min + dt.timedelta(seconds=second):%H:%M:%S}"
            )
            self._as_day: Callable[[dt.date], Any] = dt.date.isoformat
        else:
            self.midnights = [dt.datetime.combine(day, dt.time(), dt.UTC) for day in self.days]
            self.of_day = lambda second: dt.timedelta(seconds=second)
            self._as_day = lambda day: day
        self._seconds: dict[int, Any] = {}
        self._shown: dict[tuple[int, int], Any] = {}

    @property
    def last(self) -> int:
        return len(self.days) - 1

    def moment(self, place: int, second: int) -> Any:
        """A moment as the engine takes it."""
        known = self._seconds.get(second)
        if known is None:
            known = self._seconds[second] = self.of_day(second)
        return self.midnights[place] + known

    def aware(self, place: int, second: int) -> dt.datetime:
        return dt.datetime.combine(self.days[place], dt.time(), dt.UTC) + dt.timedelta(seconds=second)

    def later(self, value: Later, place: int) -> Any:
        """So many calendar days after a working day: a day, or a moment of it."""
        key = (place, value.days)
        if value.second >= 0:
            return connection.ops.adapt_datetimefield_value(
                self.aware(place, value.second) + DAY * value.days
            )
        known = self._shown.get(key)
        if known is None:
            known = self._shown[key] = self._as_day(self.date(value, place))
        return known

    def date(self, value: Later, place: int) -> dt.date:
        return self.days[place] + DAY * value.days

    def seconds(self, moment: Moment, place: int) -> int:
        """Seconds since the year 1, to put moments in turn."""
        return self.days[place].toordinal() * 86_400 + moment.second


def write_rows(model: type[models.Model], rows: Sequence[Sequence[Any]], names: Iterable[str] = ()) -> None:
    """Plain rows into a table, every column in the order of the model, or those named."""
    if not rows:
        return
    quote = connection.ops.quote_name
    own = list(names) or columns(model)
    into = ", ".join(map(quote, own))
    holes = ", ".join(["%s"] * len(own))
    with connection.cursor() as cursor:
        cursor.executemany(
            f"INSERT INTO {quote(model._meta.db_table)} ({into}) VALUES ({holes})",  # noqa: S608 -- our own names
            rows,
        )


def next_pk(model: type[models.Model]) -> int:
    """One past the highest pk there is."""
    return int(model._default_manager.aggregate(most=models.Max("pk"))["most"] or 0) + 1
