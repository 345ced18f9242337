"""Two other ways to the dates of a rule, to check the package against.

`walked` is python-dateutil from DTSTART on. `by_the_book` looks at each day by itself and asks
whether the words of RFC 5545 section 3.3.10 let it through; it shares no code with the package,
not even the reading of the text.
"""

from calendar import monthrange
from datetime import date, datetime, time, timedelta
from functools import lru_cache
from itertools import takewhile

from dateutil.rrule import rrulestr
from hypothesis import strategies as st

DAYS = ["MO", "TU", "WE", "TH", "FR", "SA", "SU"]


def walked(text: str, start: date, first: date, last: date) -> list[date]:
    rule = rrulestr(text, dtstart=datetime.combine(start, time.min))
    until = takewhile(lambda on: on.date() <= last, rule)
    return [on.date() for on in until if on.date() >= first]


def by_the_book(text: str, start: date, first: date, last: date) -> list[date]:
    """Without COUNT; UNTIL is a date."""
    parts = dict(piece.split("=") for piece in text.split(";"))
    until = parts.get("UNTIL")
    if until:
        last = min(last, date(int(until[:4]), int(until[4:6]), int(until[6:8])))
    found = []
    day = max(first, start)
    while day <= last:
        if _on(text, start, day):
            found.append(day)
        day += timedelta(days=1)
    return found


def _on(text: str, start: date, day: date) -> bool:
    parts = _implied(text, start)
    interval = int(parts.get("INTERVAL", 1))
    if (_period(parts, day) - _period(parts, start)) % interval:
        return False
    if "BYSETPOS" not in parts:
        return _passes(parts, day)
    wanted = [int(n) for n in parts["BYSETPOS"].split(",")]
    members = _members(text, start, _period(parts, day))
    picked = [members[n - 1 if n > 0 else n] for n in wanted if abs(n) <= len(members)]
    return day in picked


@lru_cache(maxsize=512)
def _members(text: str, start: date, period: int) -> list[date]:
    parts = _implied(text, start)
    if parts["FREQ"] == "YEARLY":
        day, length = date(period, 1, 1), 366
    elif parts["FREQ"] == "MONTHLY":
        day, length = date(period // 12, period % 12 + 1, 1), 31
    else:
        day, length = date.fromordinal(max(7 * (period - 1), 1)), 21
    days = [day + timedelta(days=n) for n in range(length)]
    return [on for on in days if _period(parts, on) == period and _passes(parts, on)]


@lru_cache(maxsize=512)
def _implied(text: str, start: date) -> dict[str, str]:
    parts = dict(piece.split("=") for piece in text.split(";"))
    if not parts.keys() & {"BYDAY", "BYMONTHDAY", "BYYEARDAY"}:
        if parts["FREQ"] == "WEEKLY" or "BYWEEKNO" in parts:
            parts["BYDAY"] = DAYS[start.weekday()]
        elif parts["FREQ"] in ("MONTHLY", "YEARLY"):
            parts["BYMONTHDAY"] = str(start.day)
            if parts["FREQ"] == "YEARLY":
                parts.setdefault("BYMONTH", str(start.month))
    return parts


def week_begin(day: date, first_weekday: int) -> date:
    while day.weekday() != first_weekday:
        day -= timedelta(days=1)
    return day


def _period(parts: dict[str, str], day: date) -> int:
    if parts["FREQ"] == "YEARLY":
        return day.year
    if parts["FREQ"] == "MONTHLY":
        return 12 * day.year + day.month - 1
    if parts["FREQ"] == "WEEKLY":
        return week_begin(day, DAYS.index(parts.get("WKST", "MO"))).toordinal() // 7
    return day.toordinal()


def _passes(parts: dict[str, str], day: date) -> bool:
    in_month = monthrange(day.year, day.month)[1]
    in_year = date(day.year, 12, 31).timetuple().tm_yday
    year_day = day.timetuple().tm_yday
    for name, number, whole in (
        ("BYMONTH", day.month, 0),
        ("BYMONTHDAY", day.day, in_month),
        ("BYYEARDAY", year_day, in_year),
    ):
        if name in parts:
            wanted = {int(n) for n in parts[name].split(",")}
            if number not in wanted and (not whole or number - whole - 1 not in wanted):
                return False
    if "BYWEEKNO" in parts:
        number, weeks = week_number(day, DAYS.index(parts.get("WKST", "MO")))
        if not {number, number - weeks - 1} & {int(n) for n in parts["BYWEEKNO"].split(",")}:
            return False
    if "BYDAY" in parts:
        by_year = parts["FREQ"] == "YEARLY" and "BYMONTH" not in parts
        at, whole = (year_day, in_year) if by_year else (day.day, in_month)
        name = DAYS[day.weekday()]
        names = {name, f"{(at - 1) // 7 + 1}{name}", f"-{(whole - at) // 7 + 1}{name}"}
        return bool(names & set(parts["BYDAY"].split(",")))
    return True


def week_number(day: date, first_weekday: int) -> tuple[int, int]:
    """The number of the day's week, and how many weeks its year has."""
    fourth = week_begin(day, first_weekday) + timedelta(days=3)
    last_fourth = week_begin(date(fourth.year, 12, 28), first_weekday) + timedelta(days=3)
    number, weeks = (
        on.timetuple().tm_yday // 7 + bool(on.timetuple().tm_yday % 7)
        for on in (fourth, last_fourth)
    )
    return number, weeks


def _some(numbers: list[int], most: int = 4) -> st.SearchStrategy[str]:
    some = st.lists(st.sampled_from(numbers), min_size=1, max_size=most, unique=True)
    return some.map(lambda found: ",".join(map(str, found)))


@st.composite
def rule_texts(draw: st.DrawFn, *, like_dateutil: bool = False, ends: bool = True) -> str:
    """Random rules. `like_dateutil` leaves out what dateutil 2.9 reads differently."""
    freq = draw(st.sampled_from(["DAILY", "WEEKLY", "MONTHLY", "YEARLY"]))
    most = {"DAILY": 40, "WEEKLY": 12, "MONTHLY": 18, "YEARLY": 4}[freq]
    parts = [f"FREQ={freq}"]
    if draw(st.booleans()):
        parts.append(f"INTERVAL={draw(st.integers(1, most))}")
    rare = st.sampled_from([True, False, False])
    by_parts = []
    if draw(rare):
        by_parts.append(f"BYMONTH={draw(_some(list(range(1, 13)), 6))}")
    if freq != "WEEKLY" and draw(rare):
        near = [1, 2, 10, 13, 28, 29, 30, 31, -1, -2, -3, -30, -31]
        by_parts.append(f"BYMONTHDAY={draw(_some(near, 6))}")
    if freq == "YEARLY" and draw(rare):
        by_parts.append(f"BYYEARDAY={draw(_some([1, 59, 60, 100, 200, 365, 366, -1, -366], 6))}")
    week_number = freq == "YEARLY" and not like_dateutil and draw(rare)
    if week_number:
        by_parts.append(f"BYWEEKNO={draw(_some([1, 2, 20, 51, 52, 53, -1, -2, -52, -53], 6))}")
    numbered = freq in ("MONTHLY", "YEARLY") and not week_number and draw(st.booleans())
    if draw(st.booleans()):
        in_month = freq == "MONTHLY" or any("BYMONTH=" in part for part in by_parts)
        numbers = [1, 2, 4, 5, -1, -2, -5] + ([] if in_month else [20, 52, 53, -53])
        plain = st.sampled_from(DAYS)
        with_number = st.builds("{}{}".format, st.sampled_from(numbers), plain)
        one = with_number if numbered else plain
        if numbered and not like_dateutil:
            one = st.one_of(plain, with_number)
        by_parts.append("BYDAY=" + ",".join(draw(st.lists(one, min_size=1, max_size=4))))
    parts += by_parts
    if by_parts and freq != "DAILY" and draw(rare):
        parts.append(f"BYSETPOS={draw(_some([1, 2, 3, -1, -2], 2))}")
    if draw(st.booleans()):
        parts.append(f"WKST={draw(st.sampled_from(DAYS))}")
    if ends and draw(rare):
        until = draw(st.dates(date(2001, 1, 1), date(2040, 12, 31)))
        parts.append(f"UNTIL={until:%Y%m%d}")
    elif ends and like_dateutil and draw(rare):
        parts.append(f"COUNT={draw(st.integers(1, 60))}")
    return ";".join(parts)


starts = st.dates(date(2001, 1, 1), date(2012, 12, 31))
