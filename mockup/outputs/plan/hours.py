"""When hands are at the bench: a week of working hours, laid over minutes from a first day.

Time is plain local time as the clock on the wall shows it, in whole minutes from midnight of a
first day. Summer time is not minded: in its two nights a drying time may be an hour off, and a
coat that waits an hour longer inside its window is none the worse.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from mockup.errors import DesignError

__all__ = ["DAY_MIN", "WEEK_DAYS", "WorkingHours"]

DAY_MIN = 1440  # minutes in a day
WEEK_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")  # as date.weekday() counts


@dataclass(frozen=True, slots=True)
class WorkingHours:
    """For each day of the week from Monday, its (from, to) in minutes after midnight, in order.

    Two intervals that touch are one: work goes on from one into the other.
    """

    week: tuple[tuple[tuple[int, int], ...], ...]
    first_day: date

    @classmethod
    def of(
        cls, week: Sequence[Sequence[tuple[int, int]]], first_day: date, *, where: str = "shelf"
    ) -> "WorkingHours":
        """Check and merge.

        Raises
        ------
        DesignError
            There is no working hour in the whole week, or an interval does not lie in its day.
        """
        if len(week) != len(WEEK_DAYS) or not any(week):
            raise DesignError(
                "the week has no working hours",
                where=where,
                remedy="Give the hours of at least one day",
            )
        for name, spans in zip(WEEK_DAYS, week, strict=True):
            if any(not 0 <= opens < closes <= DAY_MIN for opens, closes in spans):
                raise DesignError(
                    f"the hours of {name} do not lie between 00:00 and 24:00",
                    where=where,
                    remedy="Give from and to, the earlier first",
                )
        return cls(tuple(_merged(spans) for spans in week), first_day)

    @property
    def longest_min(self) -> int:
        """The longest time at one go."""
        return max(closes - opens for spans in self.week for opens, closes in spans)

    def fit(self, minute: int, hands_min: int) -> int:
        """The first minute from `minute` on at which `hands_min` of work can be done at one go.

        The work must be no longer than `longest_min`.
        """
        first = minute // DAY_MIN
        offset = self.first_day.weekday()
        for day in range(first, first + 8):
            for opens, closes in self.week[(day + offset) % 7]:
                begin = max(minute, day * DAY_MIN + opens)
                if begin + hands_min <= day * DAY_MIN + closes:
                    return begin
        raise ValueError(f"{hands_min} min do not fit into {self.longest_min} min")

    def minute(self, moment: datetime) -> int:
        """Minutes from midnight of the first day, a part of a minute rounded up."""
        passed = moment - datetime.combine(self.first_day, time())
        return -(-passed // timedelta(minutes=1))

    def moment(self, minute: int) -> datetime:
        """The clock's time at a minute."""
        return datetime.combine(self.first_day, time()) + timedelta(minutes=minute)

    def open_days(self, first: int, last: int) -> list[tuple[int, int]]:
        """Every working interval that meets the minutes from `first` to `last`."""
        offset = self.first_day.weekday()
        spans = [
            (day * DAY_MIN + opens, day * DAY_MIN + closes)
            for day in range(first // DAY_MIN, last // DAY_MIN + 1)
            for opens, closes in self.week[(day + offset) % 7]
        ]
        return [(opens, closes) for opens, closes in spans if closes > first and opens < last]


def _merged(spans: Sequence[tuple[int, int]]) -> tuple[tuple[int, int], ...]:
    merged: list[tuple[int, int]] = []
    for opens, closes in sorted(spans):
        if merged and opens <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(closes, merged[-1][1]))
        else:
            merged.append((opens, closes))
    return tuple(merged)
