"""What a question costs, counted in periods looked at, not in time: the same at any age."""

from datetime import date, timedelta

import pytest

from household.calc.recurrence import expand
from household.calc.recurrence.dates import between, next_on_or_after
from household.calc.recurrence.rules import last_day, parse

TODAY = date(2026, 3, 17)
RULES = [
    "FREQ=DAILY",
    "FREQ=DAILY;INTERVAL=3",
    "FREQ=WEEKLY;INTERVAL=2;BYDAY=TU,FR;WKST=SU",
    "FREQ=MONTHLY;BYMONTHDAY=28,29,30,31;BYSETPOS=-1",
    "FREQ=MONTHLY;INTERVAL=3;BYDAY=1SA",
    "FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=29",
    "FREQ=YEARLY;BYWEEKNO=20;BYDAY=MO",
    "FREQ=WEEKLY;UNTIL=20991231",
    "FREQ=DAILY;COUNT=5000",
]


class Counter:
    """Counts the periods that the package expands."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.seen = 0
        real = expand.period_days

        def counted(plan: expand.Plan, period: int) -> list[int]:
            self.seen += 1
            return real(plan, period)

        monkeypatch.setattr(expand, "period_days", counted)

    def take(self) -> int:
        seen, self.seen = self.seen, 0
        return seen


@pytest.mark.parametrize("text", RULES)
def test_periods_looked_at_do_not_grow_with_age(text: str, monkeypatch: pytest.MonkeyPatch) -> None:
    rule = parse(text)
    counter = Counter(monkeypatch)
    costs = set()
    by_year = "YEARLY" in text or "MONTHLY" in text
    for years in (0, 3, 12):
        # Whole multiples of every phase above, so that each age asks the same question.
        older = TODAY.replace(year=TODAY.year - years)
        start = older if by_year else TODAY - timedelta(days=years * 364)
        last_day(rule, start)  # an end by COUNT is worked out once and kept
        counter.take()
        found = between(rule, start=start, first=TODAY, last=TODAY + timedelta(days=27))
        following = next_on_or_after(rule, start=start, day=TODAY)
        costs.add((counter.take(), len(found), following))
    assert len(costs) == 1
    [(periods, _, _)] = costs
    assert 0 < periods <= 60


def test_the_count_would_notice_a_walk_from_the_start(monkeypatch: pytest.MonkeyPatch) -> None:
    counter = Counter(monkeypatch)
    start = TODAY - timedelta(days=7_305)
    between(parse("FREQ=DAILY"), start=start, first=start, last=TODAY)
    assert counter.take() == 7_306


def test_a_count_is_worked_out_once(monkeypatch: pytest.MonkeyPatch) -> None:
    counter = Counter(monkeypatch)
    rule = parse("FREQ=DAILY;COUNT=4999")
    next_on_or_after(rule, start=date(2020, 5, 5), day=TODAY)
    assert counter.take() >= 4_999
    next_on_or_after(rule, start=date(2020, 5, 5), day=TODAY)
    assert counter.take() == 1
