"""What one's own Today says of requests."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from django.urls import reverse

from household.devices.models import Notice
from household.people.models import Member
from household.requests.today import TodayLine, for_today
from household.web.keeping import kept_asks


def asks(member: Member, notices: Sequence[Notice], now: datetime, hour: str) -> list[TodayLine]:
    """Lines of requests, without those that a notice above them tells of already."""
    household = member.household
    lines = kept_asks(member, household.today(now), hour, lambda: for_today(member, now))
    if not lines or not notices:
        return lines
    home = reverse("web:today", args=[household.pk]).removesuffix("today/")
    told = {f"{home}{notice.path}" for notice in notices if notice.path}
    return [line for line in lines if line.thank_url or line.url not in told]
