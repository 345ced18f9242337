"""Minutes due against minutes free, week by week.

Rules:
- A window counts in the week it closes, though it may be done before; one that closed before
  today counts in the first week, since it is still to be done. One that closes after the last
  week is left out.
- Minutes free count from today on.
- A task is shared by those assigned to it, else by those who may do it. Smaller groups are
  placed first, in proportion to the minutes their members have left that week; where they have
  none left, in proportion to their minutes free; where they have none, equally.
- A task that none of the members may do stays unplaced, and still counts for the household.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from fractions import Fraction

from household.calc.busy import free_after
from household.calc.free_time import Absence, free_minutes
from household.calc.history import day_words, week_of


@dataclass(frozen=True, slots=True)
class DueWindow:
    """A task to come, to be done by `closes`. assignees and eligible: ids of members."""

    closes: date
    minutes: int
    assignees: frozenset[int] = frozenset()
    eligible: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True)
class MemberTime:
    """The time of one member: seven figures of minutes free, Monday first, and the absences.

    busy: minutes that other calendars take, by day; they come off the minutes free.
    """

    member: int
    weekly: Sequence[int]
    absences: Sequence[Absence] = ()
    busy: Mapping[date, int] = field(default_factory=dict)

    def free_on(self, day: date) -> int:
        return free_after(free_minutes(day, self.weekly, self.absences), self.busy.get(day, 0))


@dataclass(frozen=True, slots=True)
class MemberLoad:
    """Minutes of one member in one week."""

    member: int
    due: int
    free: int

    @property
    def spare(self) -> int:
        """Minutes free beyond those due; below 0 where there is not time for all."""
        return self.free - self.due

    @property
    def tight(self) -> bool:
        return self.spare < 0


@dataclass(frozen=True, slots=True)
class WeekLoad:
    """Minutes of the household in one week, with every member's in the order given.

    unplaced: minutes, contained in `due`, of tasks that none of the members may do.
    """

    first: date
    last: date
    due: int
    free: int
    unplaced: int
    members: tuple[MemberLoad, ...]

    @property
    def spare(self) -> int:
        return self.free - self.due

    @property
    def tight(self) -> bool:
        return self.spare < 0

    @property
    def words(self) -> str:
        return f"Week of {day_words(self.first)}: {_spare_words(self.spare)}"


def forecast(
    members: Sequence[MemberTime],
    due: Iterable[DueWindow],
    *,
    today: date,
    weeks: int,
    week_start: int = 0,
    holidays: Collection[date] = (),
    holiday_factor: Fraction = Fraction(1),
) -> tuple[WeekLoad, ...]:
    """The next `weeks` weeks, the one that holds `today` first.

    week_start: 0 is Monday. holiday_factor: what minutes free are multiplied by on public
    holidays, as 0 for none and 2 for twice as many; rounded down to whole minutes.
    """
    start, _ = week_of(today, week_start)
    by_week: list[list[DueWindow]] = [[] for _ in range(weeks)]
    for window in due:
        week = max(0, (window.closes - start).days // 7)
        if week < weeks:
            by_week[week].append(window)
    factors = dict.fromkeys(holidays, holiday_factor)
    return tuple(
        _week(members, windows, start + timedelta(weeks=n), today, factors)
        for n, windows in enumerate(by_week)
    )


def _week(
    members: Sequence[MemberTime],
    windows: Sequence[DueWindow],
    first: date,
    today: date,
    factors: dict[date, Fraction],
) -> WeekLoad:
    days = [first + timedelta(days=n) for n in range(7)]
    free = {
        each.member: sum(
            int(each.free_on(day) * factors.get(day, 1)) for day in days if day >= today
        )
        for each in members
    }
    load, unplaced = _place(windows, free)
    return WeekLoad(
        first=first,
        last=days[-1],
        due=sum(window.minutes for window in windows),
        free=sum(free.values()),
        unplaced=unplaced,
        members=tuple(MemberLoad(each, load[each], free[each]) for each in free),
    )


def _place(windows: Sequence[DueWindow], free: dict[int, int]) -> tuple[dict[int, int], int]:
    """Minutes of each member, and those that nobody may take."""
    pools: dict[frozenset[int], int] = {}
    for window in windows:
        pool = (window.assignees or window.eligible).intersection(free)
        pools[pool] = pools.get(pool, 0) + window.minutes
    unplaced = pools.pop(frozenset(), 0)
    load = dict.fromkeys(free, 0)
    for pool in sorted(pools, key=lambda pool: (len(pool), sorted(pool))):
        group = sorted(pool)
        left = [max(0, free[member] - load[member]) for member in group]
        weights = left if any(left) else [free[member] for member in group]
        for member, minutes in zip(group, _apportion(pools[pool], weights), strict=True):
            load[member] += minutes
    return load, unplaced


def _apportion(minutes: int, weights: Sequence[int]) -> list[int]:
    """Whole minutes in proportion to the weights, by largest remainder; the sum is kept."""
    parts = weights if any(weights) else [1] * len(weights)
    total = sum(parts)
    whole = [minutes * part // total for part in parts]
    rest = [minutes * part % total for part in parts]
    by_rest = sorted(range(len(parts)), key=lambda n: (-rest[n], n))
    for n in by_rest[: minutes - sum(whole)]:
        whole[n] += 1
    return whole


def _spare_words(spare: int) -> str:
    if spare == 0:
        return "just enough time."
    amount = "1 minute" if abs(spare) == 1 else f"{abs(spare)} minutes"
    return f"{amount} to spare." if spare > 0 else f"{amount} more than there is time for."
