"""The secret address: who gets in, what it says to a poll, and what it never does."""

from __future__ import annotations

import gzip
import logging
from datetime import timedelta
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from household.feeds import actions, door_views
from household.feeds.models import Feed
from household.kit.masking import MaskSecrets, masked
from household.kit.secret_address import hash_of
from household.people.models import Household, Member, Role
from tests.factories import NOW, make_task

pytestmark = pytest.mark.django_db


@pytest.fixture
def given(household: Household, organiser: Member, feed_for: Any) -> tuple[Feed, str]:
    make_task(household, "Water the fern", member=organiser)
    made: tuple[Feed, str] = feed_for(organiser)
    return made


def test_it_answers_with_a_calendar_and_no_cookie(given: Any, fetch_feed: Any) -> None:
    answer = fetch_feed(given[1])
    assert answer.status_code == 200
    assert answer["Content-Type"] == "text/calendar; charset=utf-8"
    assert answer["Content-Disposition"] == 'inline; filename="evenhouse.ics"'
    assert answer["Cache-Control"] == "private, max-age=300"
    assert answer["X-Robots-Tag"] == "noindex"
    assert not answer.cookies and "Cookie" not in answer.get("Vary", "")
    assert answer.content.startswith(b"BEGIN:VCALENDAR\r\n")


def test_the_whole_address_is_short_enough_for_every_program(given: Any) -> None:
    long_host = "https://" + "a" * 60 + ".example.org"
    for name in ("events", "todos"):
        assert len(long_host + reverse(f"feed_door:{name}", args=[given[1]])) < 200


def test_only_a_hash_of_the_token_is_kept(given: Any) -> None:
    feed, token = given
    assert len(token) == 43
    row = Feed.objects.values().get(pk=feed.pk)
    assert token not in str(row)
    assert row["token_hash"] == hash_of(token)


@pytest.mark.parametrize("token", ["A" * 43, "A" * 42, "x", "A" * 43 + "%00"])
def test_an_unknown_address_is_404_without_a_page(db: None, token: str) -> None:
    answer = Client().get(f"/f/{token}.ics")
    assert answer.status_code == 404
    assert "Set-Cookie" not in answer


def test_a_stopped_one_is_404_until_it_is_started(given: Any, fetch_feed: Any) -> None:
    feed, token = given
    actions.stop_feed(feed=feed, now=NOW)
    assert fetch_feed(token).status_code == 404
    assert fetch_feed(token, "todos").status_code == 404
    actions.start_feed(feed=feed)
    assert fetch_feed(token).status_code == 200


def test_it_ends_with_its_owner_and_with_its_member(
    household: Household, organiser: Member, member: Member, feed_for: Any, fetch_feed: Any
) -> None:
    _, own = feed_for(member)
    _, of_member = feed_for(organiser, member=member)
    _, everybody = feed_for(organiser, "household")
    member.archived_at = NOW
    member.save(update_fields=["archived_at"])
    assert [fetch_feed(token).status_code for token in (own, of_member, everybody)] == [
        404,
        404,
        200,
    ]


def test_a_child_sees_no_more_than_its_own(
    household: Household, member: Member, feed_for: Any, fetch_feed: Any
) -> None:
    _, own = feed_for(member)
    _, everybody = feed_for(member, "household")
    Member.objects.filter(pk=member.pk).update(role=Role.CHILD)
    assert fetch_feed(own).status_code == 200
    assert fetch_feed(everybody).status_code == 404


def test_a_new_address_leaves_the_old_one_a_week(given: Any, fetch_feed: Any) -> None:
    feed, old = given
    new = actions.renew_feed(feed=feed, standing=actions.mark_of(feed), now=NOW)
    assert fetch_feed(old).status_code == fetch_feed(new).status_code == 200
    with time_machine.travel(NOW + timedelta(days=7, seconds=1), tick=False):
        assert fetch_feed(old).status_code == 404
        assert fetch_feed(new).status_code == 200


def test_nothing_changed_is_said_with_one_query(
    given: Any, fetch_feed: Any, django_assert_num_queries: Any
) -> None:
    first = fetch_feed(given[1])
    assert first["ETag"].startswith('"') and "," not in first["ETag"]
    with django_assert_num_queries(1):
        again = fetch_feed(given[1], **{"If-None-Match": first["ETag"]})
    assert again.status_code == 304 and again.content == b""
    assert again["ETag"] == first["ETag"]
    with django_assert_num_queries(1):
        dated = fetch_feed(given[1], **{"If-Modified-Since": first["Last-Modified"]})
    assert dated.status_code == 304


def test_a_change_and_a_new_day_are_noticed(
    household: Household, organiser: Member, given: Any, fetch_feed: Any
) -> None:
    first = fetch_feed(given[1])
    marks = {"If-None-Match": first["ETag"], "If-Modified-Since": first["Last-Modified"]}
    task = make_task(household, "Another", member=organiser)
    actions_touch(household)
    changed = fetch_feed(given[1], **marks)
    assert changed.status_code == 200 and b"Another" in changed.content
    assert changed["Last-Modified"] > first["Last-Modified"]
    dated = fetch_feed(given[1], **{"If-Modified-Since": first["Last-Modified"]})
    assert dated.status_code == 200
    with time_machine.travel(NOW + timedelta(days=1), tick=False):
        assert fetch_feed(given[1], **{"If-None-Match": changed["ETag"]}).status_code == 200
    assert task.pk


def actions_touch(household: Household) -> None:
    from household.people.actions import touch_household

    touch_household(household.pk)


def test_another_address_of_the_hub_is_another_file(given: Any, settings: Any) -> None:
    path, tags = reverse("feed_door:events", args=[given[1]]), set()
    for settings.BASE_URL in ("http://hub.lan:8000", "https://home.example.org"):
        answer = Client().get(path)
        assert f"{settings.BASE_URL}/h/".encode() in answer.content.replace(b"\r\n ", b"")
        tags.add(answer["ETag"])
    assert len(tags) == 2


def test_after_a_restart_dates_alone_bring_a_whole_answer(given: Any, fetch_feed: Any) -> None:
    first = fetch_feed(given[1])
    door_views.forget()
    with time_machine.travel(NOW + timedelta(minutes=5), tick=False):
        dated = fetch_feed(given[1], **{"If-Modified-Since": first["Last-Modified"]})
        assert dated.status_code == 200
        tagged = fetch_feed(given[1], **{"If-None-Match": first["ETag"]})
        assert tagged.status_code == 304


def test_it_is_packed_for_who_can_unpack_it(given: Any, fetch_feed: Any) -> None:
    plain = fetch_feed(given[1])
    packed = fetch_feed(given[1], **{"Accept-Encoding": "gzip, br"})
    assert packed["Content-Encoding"] == "gzip" and packed["ETag"] != plain["ETag"]
    assert gzip.decompress(packed.content) == plain.content
    assert "Accept-Encoding" in packed["Vary"]


def test_head_is_answered_and_post_is_not(given: Any) -> None:
    address = reverse("feed_door:events", args=[given[1]])
    head = Client().head(address)
    assert head.status_code == 200 and head.content == b"" and head["ETag"]
    assert Client().post(address).status_code == 405


def test_the_last_fetch_is_noted_once_an_hour(
    given: Any, fetch_feed: Any, django_assert_num_queries: Any
) -> None:
    feed, token = given
    tag = fetch_feed(token)["ETag"]
    feed.refresh_from_db()
    assert (feed.last_fetched_at, feed.last_agent) == (NOW, "Thunderbird/140")
    with time_machine.travel(NOW + timedelta(minutes=59), tick=False):
        # Two programs on one address do not write in turns.
        other = {"If-None-Match": tag, "User-Agent": "ICSx5/2.4"}
        with django_assert_num_queries(1):
            fetch_feed(token, **other)
        feed.refresh_from_db()
        assert feed.last_fetched_at == NOW
    with time_machine.travel(NOW + timedelta(minutes=60), tick=False):
        fetch_feed(token, **{"If-None-Match": tag})
        feed.refresh_from_db()
        assert feed.last_fetched_at == NOW + timedelta(minutes=60)


def test_the_token_never_stands_in_the_log(
    given: Any, fetch_feed: Any, caplog: pytest.LogCaptureFixture
) -> None:
    feed, token = given
    handler = logging.Handler()
    seen: list[str] = []
    handler.emit = lambda record: seen.append(record.getMessage())  # type: ignore[method-assign]
    handler.addFilter(MaskSecrets())
    logger = logging.getLogger("django.request")
    logger.addHandler(handler)
    try:
        actions.stop_feed(feed=feed, now=NOW)
        fetch_feed(token)
    finally:
        logger.removeHandler(handler)
    assert seen and all(token not in line for line in seen)
    assert masked(f"Not Found: /f/{token}/tasks.ics") == "Not Found: /f/…/tasks.ics"


def test_every_handler_of_the_settings_masks() -> None:
    from django.conf import settings

    assert all("masked" in each["filters"] for each in settings.LOGGING["handlers"].values())
