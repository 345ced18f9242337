"""Minutes learnt from ticks: taken with a touch, undone with another."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from household.chores.models import State
from tests.browser.signing import sign_in
from tests.factories import make_chore, make_household, make_member, make_task

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.browser]

Reader = Callable[[Page], None]


def test_minutes_that_are_off_are_found_taken_and_taken_back(
    either: Page, live_server: Any, axe: Reader, fits: Reader
) -> None:
    home = make_household(time_zone="UTC")
    ana = make_member(home, "Ana", role="organiser")
    now = timezone.now()
    chores = [make_chore(home, name, minutes=15, now=now) for name in ("Iron", "Mop")]
    for chore in chores:
        for ago in range(1, 13):
            day = now.date() - timedelta(days=ago)
            done = {"state": State.DONE, "done_on": day, "done_by": ana, "minutes_taken": 28}
            make_task(home, chore=chore, occurrence=day, day=day, level=chore.level, **done)
    base = sign_in(either, live_server, ana)
    either.goto(f"{base}/chores/")
    either.get_by_role("link", name="Which minutes are off? 2").click()
    axe(either)
    fits(either)
    either.get_by_role("button", name="Take all two").click()
    expect(either.get_by_text("2 chores are planned with the minutes they take.")).to_be_visible()
    either.get_by_role("button", name="Undo").click()
    expect(either.get_by_text("Taken back: the minutes are as they were.")).to_be_visible()

    either.get_by_role("link", name="Iron").click()
    expect(either.get_by_text("Usually takes 25 minutes (12 ticks), planned 15.")).to_be_visible()
    axe(either)
    either.get_by_role("link", name="Change it").click()
    either.get_by_role("button", name="Take 25").click()
    expect(either.get_by_label("How long does it take?")).to_have_value("25")
    axe(either)
    fits(either)
    either.get_by_role("button", name="Save").click()
    expect(either.get_by_text("“Iron” is changed.")).to_be_visible()
    chores[0].refresh_from_db()
    assert chores[0].minutes == 25
