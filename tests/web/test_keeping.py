"""What is kept of Today: never too long, never for the wrong person, and at little cost.

How conditional requests work is published in RFC 9110 (HTTP Semantics), section 13.
"""

from __future__ import annotations

import gzip
import re
from collections.abc import Callable, Iterator
from datetime import timedelta
from hashlib import blake2b
from typing import Any

import pytest
import time_machine
from django.contrib.messages.storage.session import SessionStorage
from django.db import connection
from django.middleware.gzip import GZipMiddleware
from django.test import Client
from django.test.utils import CaptureQueriesContext

from household.chores import ticking
from household.devices.models import Device, Notice
from household.people.actions import touch_household
from household.people.models import Household, Member, Role
from household.web import keeping
from tests.factories import NOW, TODAY, make_member, make_task
from tests.full_home import full_home

pytestmark = pytest.mark.django_db
ClientFor = Callable[[Member], Client]


def url(household: Household, path: str = "today/") -> str:
    return f"/h/{household.pk}/{path}"


@pytest.fixture
def settled(household: Household) -> Household:
    """The daily job has run, as it has on most looks at Today."""
    Household.objects.filter(pk=household.pk).update(daily_on=TODAY, daily_at=NOW)
    household.refresh_from_db()
    return household


def opened(client: Client, household: Household) -> str:
    """Open Today until the browser has its token, and return the page's tag."""
    client.get(url(household))
    return str(client.get(url(household)).headers["ETag"])


def again(client: Client, household: Household, tag: str, **headers: str) -> int:
    answer = client.get(url(household), headers={"If-None-Match": tag, **headers})
    return answer.status_code


def test_an_unchanged_page_is_not_sent_again_after_three_queries(
    settled: Household, member: Member, client_for: ClientFor
) -> None:
    client = client_for(member)
    tag = opened(client, settled)
    with CaptureQueriesContext(connection) as captured:
        answer = client.get(url(settled), headers={"If-None-Match": tag})
    assert (answer.status_code, answer.content, len(captured)) == (304, b"", 3)
    assert answer.headers["ETag"] == tag
    assert answer.headers["Cache-Control"] == "private, no-cache"
    assert "Cookie" in answer.headers["Vary"] and "HX-Request" in answer.headers["Vary"]


def test_the_tag_holds_no_comma_and_may_come_back_weak_and_among_others(
    settled: Household, member: Member, client_for: ClientFor
) -> None:
    client = client_for(member)
    tag = opened(client, settled)
    assert "," not in tag
    assert again(client, settled, f'"other", W/{tag}') == 304
    assert again(client, settled, '"other"') == 200


def test_a_change_by_anybody_shows_at_once(
    settled: Household, member: Member, organiser: Member, client_for: ClientFor
) -> None:
    task = make_task(settled, "Sweep", member=organiser)
    client = client_for(member)
    tag = opened(client, settled)
    ticking.assign(task=task, to=member, actor=organiser, now=NOW)
    answer = client.get(url(settled), headers={"If-None-Match": tag})
    assert answer.status_code == 200
    assert "Sweep" in answer.content.decode()


def test_midnight_at_home_makes_another_page(
    settled: Household, member: Member, client_for: ClientFor
) -> None:
    client = client_for(member)
    tag = opened(client, settled)
    Household.objects.filter(pk=settled.pk).update(daily_on=TODAY + timedelta(days=1))
    with time_machine.travel(NOW + timedelta(days=1), tick=False):
        assert again(client, settled, tag) == 200


def test_what_one_may_see_makes_another_page(
    settled: Household, member: Member, client_for: ClientFor
) -> None:
    client = client_for(member)
    tag = opened(client, settled)
    assert again(client, settled, tag) == 304
    Member.objects.filter(pk=member.pk).update(role=Role.CHILD)
    assert again(client, settled, tag) == 200
    Member.objects.filter(pk=member.pk).update(role=Role.MEMBER, theme="dark")
    assert again(client, settled, tag) == 200


def test_one_persons_tag_is_not_anothers(
    settled: Household, member: Member, organiser: Member, client_for: ClientFor
) -> None:
    theirs = client_for(organiser)
    opened(theirs, settled)
    assert again(theirs, settled, opened(client_for(member), settled)) == 200
    of_member = url(settled, f"today/{member.pk}/")
    own = theirs.get(url(settled)).headers["ETag"]
    assert theirs.get(of_member, headers={"If-None-Match": own}).status_code == 200


def test_a_page_with_another_token_in_its_forms_is_another_page(
    settled: Household, member: Member, client_for: ClientFor
) -> None:
    client = client_for(member)
    tag = opened(client, settled)
    del client.cookies["csrftoken"]
    assert again(client, settled, tag) == 200
    assert again(client, settled, tag) == 200


def test_a_message_is_said_once_and_not_kept(
    settled: Household, member: Member, client_for: ClientFor
) -> None:
    client = client_for(member)
    tag = opened(client, settled)
    assert SessionStorage.session_key == keeping.MESSAGES
    client.post(
        url(settled, "tasks/add/"),
        {"add-name": "Post the parcel", "add-minutes": "5"},
    )
    said = client.get(url(settled), headers={"If-None-Match": tag})
    assert said.status_code == 200 and "is on the list" in said.content.decode()
    assert "ETag" not in said.headers
    assert "is on the list" not in client.get(url(settled)).content.decode()


def test_a_notice_is_shown_until_it_has_been_seen(
    settled: Household, organiser: Member, member: Member, client_for: ClientFor
) -> None:
    client = client_for(organiser)
    tag = opened(client, settled)
    device = Device.objects.create(
        household=settled, member=member, label="Phone", created_at=NOW, seen_at=NOW
    )
    Notice.objects.create(household=settled, to=organiser, device=device, at=NOW)
    Member.objects.filter(pk=organiser.pk).update(unseen=1)
    assert again(client, settled, tag) == 200
    assert "ETag" not in client.get(url(settled)).headers


def test_of_several_notices_one_is_shown_after_the_other(
    settled: Household, organiser: Member, member: Member, client_for: ClientFor
) -> None:
    client = client_for(organiser)
    for label in ("Phone", "Tablet"):
        device = Device.objects.create(
            household=settled, member=member, label=label, created_at=NOW, seen_at=NOW
        )
        Notice.objects.create(household=settled, to=organiser, device=device, at=NOW)
    Member.objects.filter(pk=organiser.pk).update(unseen=2)
    page = client.get(url(settled)).content.decode()
    assert "1 of 2" in page
    shown = [label for label in ("Phone", "Tablet") if label in page]
    assert len(shown) == 1
    seen = Notice.objects.get(device__label=shown[0])
    client.post(f"/h/{settled.pk}/devices/notices/{seen.pk}/seen/")
    page = client.get(url(settled)).content.decode()
    assert "1 of" not in page
    assert [label for label in ("Phone", "Tablet") if label in page] != shown


def test_the_daily_job_that_stood_still_is_told_and_not_kept(
    settled: Household, organiser: Member, client_for: ClientFor
) -> None:
    client = client_for(organiser)
    opened(client, settled)
    Household.objects.filter(pk=settled.pk).update(daily_at=NOW - timedelta(hours=27))
    assert "ETag" not in client.get(url(settled)).headers


# An open page's question for news


def news(client: Client, household: Household, tag: str = "", path: str = "today/") -> Any:
    headers = {"HX-Request": "true", "If-None-Match": tag}
    return client.get(url(household, path), headers=headers)


def test_an_open_page_hears_304_until_something_changed(
    settled: Household, member: Member, client_for: ClientFor
) -> None:
    client = client_for(member)
    page = client.get(url(settled))
    tag = page.context["version"]
    assert f'data-version="&quot;{tag.strip(chr(34))}&quot;"' in page.content.decode()
    with CaptureQueriesContext(connection) as captured:
        assert news(client, settled, tag).status_code == 304
    assert len(captured) <= 3
    make_task(settled, "Sweep", member=member)
    touch_household(settled.pk)
    answer = news(client, settled, tag)
    assert answer.status_code == 200
    text = answer.content.decode()
    assert "Sweep" in text and "<html" not in text and "csrf" not in text
    assert news(client, settled, answer.headers["ETag"]).status_code == 304


def test_news_of_anothers_list_is_theirs(
    settled: Household, member: Member, organiser: Member, client_for: ClientFor
) -> None:
    make_task(settled, "Mine", member=organiser)
    make_task(settled, "Theirs", member=member)
    answer = news(client_for(organiser), settled, path=f"today/{member.pk}/")
    assert "Theirs" in answer.content.decode()
    assert "Mine" not in answer.content.decode()


def test_nobody_hears_of_another_home(
    settled: Household, outsider: Member, client_for: ClientFor
) -> None:
    assert news(client_for(outsider), settled).status_code == 404
    lost = news(client_for(outsider), outsider.household, path=f"today/{outsider.pk + 1000}/")
    assert lost.status_code == 404


# Cost


@pytest.fixture
def clock() -> Iterator[None]:
    with time_machine.travel(NOW, tick=False):
        yield


@pytest.mark.parametrize("tasks", [30, 300])
def test_at_most_six_queries_make_today_anew_and_three_show_it_again(
    tasks: int, clock: None, client_for: ClientFor
) -> None:
    home = full_home(NOW, tasks=tasks)
    client = client_for(home.members[0])
    opened(client, home.household)
    keeping.forget_all()
    for most in (6, 3):
        with CaptureQueriesContext(connection) as captured:
            page = client.get(url(home.household)).content.decode()
        assert len(captured) <= most, [each["sql"][:80] for each in captured]
        assert page.count('<li class="row') == tasks


def as_served(page: str) -> str:
    """The page with what random there is in a home: hashes in names, numbers far apart."""
    hashed = re.sub(
        r"(/static/[^\"]+)(\.\w+\")",
        lambda found: (
            f"{found[1]}.{blake2b(found[0].encode(), digest_size=4).hexdigest()}{found[2]}"
        ),
        page,
    )
    return re.sub(
        r"(tasks/|task-)(\d+)", lambda found: f"{found[1]}{int(found[2]) * 7 % 997 + 5000}", hashed
    )


def test_a_realistic_today_of_thirty_tasks_is_small_on_the_wire(
    clock: None, client_for: ClientFor
) -> None:
    """At most 4 kB, with all that is added so that its length tells nothing (BREACH, 2013)."""
    home = full_home(NOW, tasks=30)
    client = client_for(home.members[0])
    answer = client.get(url(home.household), headers={"Accept-Encoding": "gzip"})
    assert answer.headers["Content-Encoding"] == "gzip"
    page = gzip.decompress(answer.content).decode()
    assert page.count('<li class="row') == 30 and page.count("/static/") > 10
    packed = gzip.compress(as_served(page).encode(), compresslevel=6)
    assert len(packed) + GZipMiddleware.max_random_bytes <= 4096


def test_the_same_page_is_never_the_same_number_of_bytes(
    clock: None, client_for: ClientFor
) -> None:
    client = client_for(full_home(NOW).members[0])
    path = url(Household.objects.get())
    answers = [client.get(path, headers={"Accept-Encoding": "gzip"}) for _ in range(12)]
    pages = [gzip.decompress(answer.content).decode() for answer in answers]
    tokens = set(re.findall(r'csrfmiddlewaretoken" value="(\w+)"', "".join(pages)))
    assert len(tokens) == 12, "a secret is masked anew each time"
    assert len({len(answer.content) for answer in answers}) > 4


def test_two_people_share_one_list_and_no_more(
    settled: Household, member: Member, organiser: Member, client_for: ClientFor
) -> None:
    """What is kept for others to see says "Dev has", never "you have"."""
    third = make_member(settled, "Ilse")
    path = url(settled, f"today/{member.pk}/")
    client_for(organiser).get(path)
    client = client_for(third)
    client.get(path)
    touch_household(settled.pk)
    client_for(organiser).get(path)
    with CaptureQueriesContext(connection) as captured:
        page = client.get(path).content.decode()
    assert len(captured) == 4  # session, account, member, and whose list it is
    assert "Dev’s" in page
    assert "yours" not in page
    assert "yours" in client_for(member).get(url(settled)).content.decode()
