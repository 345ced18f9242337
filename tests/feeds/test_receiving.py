"""Calendars taken in: looked at in the background, kept when they break, counted as busy."""

from __future__ import annotations

import uuid
from collections.abc import Iterator
from datetime import date, datetime, timedelta
from typing import Any

import pytest
from django.core.management import call_command

from household import scheduler
from household.feeds import queries, receiving
from household.feeds.models import BusyEvent, Subscription
from household.feeds.receiving import Wish, import_file, refresh_due, subscribe
from household.kit.errors import Conflict, Refused
from household.people.models import Household, Member
from household.week.ahead import loads
from household.week.queries import read_week
from tests.factories import NOW, TODAY
from tests.feeds import hostile
from tests.feeds.hostile import GOOD, Host, body, serving

pytestmark = pytest.mark.django_db


@pytest.fixture
def host(settings: Any) -> Iterator[Host]:
    settings.FETCH_ALLOW_HOSTS = ["127.0.0.0/8"]
    with serving() as running:
        yield running


def taken(
    household: Household, url: str, member: Member | None = None, **wish: Any
) -> Subscription:
    return subscribe(
        household=household,
        wish=Wish("Dev’s work", member, **wish),
        url=url,
        now=NOW,
        key=uuid.uuid4(),
    )


def hours(count: float) -> datetime:
    return NOW + timedelta(hours=count)


def test_nothing_is_fetched_in_the_request(household: Household, host: Host) -> None:
    taken(household, f"{host.base}/a.ics")
    assert host.paths() == []


def test_the_job_reads_it_and_asks_once_an_hour(
    household: Household, member: Member, host: Host
) -> None:
    host.answers["/a.ics"] = body(GOOD, ETag='"1"')
    row = taken(household, f"{host.base}/a.ics", member)
    before = Household.objects.get(pk=household.pk).revision
    assert refresh_due(NOW) == 1
    row.refresh_from_db()
    assert (row.fetched_at, row.next_fetch_at, row.problem) == (NOW, hours(1), "")
    assert Household.objects.get(pk=household.pk).revision > before
    (event,) = queries.events_between(household, TODAY, TODAY + timedelta(days=7))
    assert (event.title, event.first) == ("Dentist", date(2026, 3, 13))
    assert refresh_due(hours(0.9)) == 0
    host.answers["/a.ics"] = body(b"", 304)
    assert refresh_due(hours(1)) == 1
    assert host.asked[-1][1]["If-None-Match"] == '"1"'
    assert BusyEvent.objects.count() == 1


def test_a_broken_one_keeps_the_last_good_copy_and_says_so(
    household: Household, member: Member, host: Host
) -> None:
    host.answers["/a.ics"] = body(GOOD)
    row = taken(household, f"{host.base}/a.ics", member)
    refresh_due(NOW)
    for behaviour in (body(b"<html>", 200), hostile.broken_zip, body(b"", 500)):
        host.answers["/a.ics"] = behaviour
        Subscription.objects.update(next_fetch_at=hours(1))
        refresh_due(hours(1))
        row.refresh_from_db()
        assert row.problem.endswith("What was read before still stands.")
        assert bytes(row.content or b"") == GOOD and BusyEvent.objects.count() == 1
    host.answers["/a.ics"] = body(GOOD)
    Subscription.objects.update(next_fetch_at=hours(2))
    refresh_due(hours(2))
    row.refresh_from_db()
    assert (row.problem, row.failures, row.failing_since) == ("", 0, None)


def test_it_waits_twice_as_long_each_time_and_gives_up_after_a_week(
    household: Household, host: Host
) -> None:
    row = taken(household, f"{host.base}/gone.ics")
    at, waits = NOW, []
    for _ in range(40):
        refresh_due(at)
        row.refresh_from_db()
        if row.next_fetch_at is None:
            break
        waits.append((row.next_fetch_at - at) / timedelta(hours=1))
        at = row.next_fetch_at
    assert waits[:6] == [1, 2, 4, 8, 16, 24] and max(waits) == 24
    assert timedelta(days=7) <= at - NOW <= timedelta(days=8)
    assert receiving.GIVEN_UP in row.problem
    receiving.look_again(subscription=row, now=at)
    assert refresh_due(at) == 1


def test_one_that_goes_wrong_does_not_hold_up_the_others(
    household: Household, host: Host, monkeypatch: pytest.MonkeyPatch
) -> None:
    host.answers["/b.ics"] = body(GOOD)
    first = taken(household, f"{host.base}/a.ics")
    second = taken(household, f"{host.base}/b.ics")
    whole = receiving.refresh

    def refresh(row: Subscription, now: datetime) -> None:
        if row.pk == first.pk:
            raise RuntimeError("not foreseen")
        whole(row, now)

    monkeypatch.setattr(receiving, "refresh", refresh)
    refresh_due(NOW)
    first.refresh_from_db()
    second.refresh_from_db()
    assert "went wrong" in first.problem and first.next_fetch_at == hours(1)
    assert second.fetched_at == NOW


def test_the_home_network_is_refused_unless_the_operator_allows_it(
    household: Household, host: Host, settings: Any
) -> None:
    settings.FETCH_ALLOW_HOSTS = []
    host.answers["/a.ics"] = body(GOOD)
    row = taken(household, f"{host.base}/a.ics")
    refresh_due(NOW)
    row.refresh_from_db()
    assert "HOUSEHOLD_FETCH_ALLOW_HOSTS" in row.problem
    assert host.paths() == [] and BusyEvent.objects.count() == 0


def test_a_file_is_read_at_once_and_its_repeats_anew_after_a_week(
    household: Household, member: Member
) -> None:
    daily = GOOD.replace(b"SUMMARY", b"RRULE:FREQ=DAILY\r\nSUMMARY")
    row = import_file(
        household=household, wish=Wish("Rota", member), content=daily, now=NOW, key=uuid.uuid4()
    )
    last = row.events.latest("first").first
    assert last == TODAY + receiving.AHEAD
    refresh_due(NOW + timedelta(days=6))
    assert row.events.latest("first").first == last
    refresh_due(NOW + timedelta(days=8))
    assert row.events.latest("first").first == last + timedelta(days=8)


@pytest.mark.parametrize(
    "content", [b"", b"<html>", GOOD.replace(b"SUMMARY", b"RRULE:FREQ=HOURLY\r\nX-A")]
)
def test_a_bad_file_is_refused_and_nothing_is_kept(household: Household, content: bytes) -> None:
    with pytest.raises(Refused):
        import_file(
            household=household, wish=Wish("Rota", None), content=content, now=NOW, key=uuid.uuid4()
        )
    assert Subscription.objects.count() == 0


def test_sending_the_form_twice_takes_it_in_once(household: Household, host: Host) -> None:
    key = uuid.uuid4()
    wish = Wish("School", None)
    url = f"{host.base}/a.ics"
    subscribe(household=household, wish=wish, url=url, now=NOW, key=key)
    with pytest.raises(Conflict):
        subscribe(household=household, wish=wish, url=url, now=NOW, key=key)
    assert Subscription.objects.count() == 1


def test_busy_minutes_are_the_members_own_and_only_where_they_count(
    household: Household, organiser: Member, member: Member, outsider: Member, host: Host
) -> None:
    host.answers["/a.ics"] = body(GOOD)
    host.answers["/free.ics"] = body(GOOD.replace(b"SUMMARY", b"TRANSP:TRANSPARENT\r\nSUMMARY"))
    taken(household, f"{host.base}/a.ics", member)
    taken(household, f"{host.base}/a.ics", member)  # the same hour in two calendars counts once
    taken(household, f"{host.base}/a.ics", None)
    taken(household, f"{host.base}/a.ics", organiser, busy_counts=False)
    taken(household, f"{host.base}/free.ics", organiser)
    taken(outsider.household, f"{host.base}/a.ics", outsider)
    refresh_due(NOW)
    week = (TODAY, TODAY + timedelta(days=6))
    assert queries.busy_by_day(household, *week) == {member.pk: {date(2026, 3, 13): 90}}
    gone = Subscription.objects.filter(member=member)
    for row in gone:
        receiving.take_out(subscription=row, now=NOW)
    assert queries.busy_by_day(household, *week) == {}


def test_hidden_titles_are_not_kept_at_all(
    household: Household, member: Member, host: Host
) -> None:
    host.answers["/a.ics"] = body(GOOD)
    taken(household, f"{host.base}/a.ics", member, show_titles=False)
    refresh_due(NOW)
    assert BusyEvent.objects.get().title == ""


def test_a_member_who_left_is_not_looked_after(
    household: Household, member: Member, host: Host
) -> None:
    taken(household, f"{host.base}/a.ics", member)
    member.archived_at = NOW
    member.save(update_fields=["archived_at"])
    assert refresh_due(NOW) == 0 and host.paths() == []


def test_the_command_and_the_scheduler_do_the_same(
    household: Household, host: Host, capsys: pytest.CaptureFixture[str]
) -> None:
    host.answers["/a.ics"] = body(GOOD)
    taken(household, f"{host.base}/a.ics")
    call_command("calendars")
    assert "1 calendar was looked at." in capsys.readouterr().out
    assert refresh_due in [job for _, job in scheduler.JOBS]


def test_busy_times_leave_less_for_the_share_out_and_the_forecast(
    household: Household, member: Member, host: Host
) -> None:
    """Friday 13 March: an hour and a half is taken, of two hours free."""
    member.free_minutes = [120] * 7
    member.save(update_fields=["free_minutes"])
    before = read_week(household, TODAY, TODAY).free[member.pk], loads(household, TODAY)[0].free
    host.answers["/a.ics"] = body(GOOD)
    taken(household, f"{host.base}/a.ics", member)
    refresh_due(NOW)
    after = read_week(household, TODAY, TODAY).free[member.pk], loads(household, TODAY)[0].free
    assert before[0][4] == 120 and after[0][4] == 30
    assert before[0][:4] + before[0][5:] == after[0][:4] + after[0][5:]
    assert before[1] - after[1] == 90
