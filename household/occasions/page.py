"""One occasion's page: when it is, what is to be done for it, and gifts for somebody else."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.urls import reverse

from household.chores.models import State
from household.occasions import actions, listing, queries, wording
from household.occasions.listing import LeadLine, Viewer, url_of
from household.occasions.models import Occasion, OccasionKind
from household.occasions.queries import Lead
from household.people.models import Member, Role


def occasion_page(occasion: Occasion, member: Member, today: date) -> dict[str, Any]:
    household = occasion.household
    viewer = listing.viewer_of(member, today)
    days = queries.coming([occasion], today, queries.leap_of(household))
    row = listing.row_of(days[0], viewer) if days else None
    jobs = queries.jobs_of(household)
    leads = [
        lead for lead in queries.leads(days, jobs, queries.written([occasion])) if viewer.sees(lead)
    ]
    grown = member.role != Role.CHILD
    return {
        "occasion": occasion,
        "row": row,
        "kind": OccasionKind(occasion.kind).label,
        "rule": wording.rule_words(occasion, viewer.words),
        "whom": listing.whom(occasion),
        "leads": [_lead(lead, viewer, grown and occasion.own_jobs) for lead in leads],
        "change_url": url_of("change", occasion) if actions.may_change(occasion, member) else "",
        "own_url": url_of("own_jobs", occasion) if grown and not occasion.own_jobs else "",
        "usual_url": url_of("usual_jobs", occasion) if grown and occasion.own_jobs else "",
        "job_add_url": url_of("own_job_add", occasion) if grown and occasion.own_jobs else "",
        **_gifts(occasion, member),
        "list_url": reverse("occasions:list", args=[household.pk]),
    }


def _lead(lead: Lead, viewer: Viewer, editable: bool) -> dict[str, Any]:
    line: LeadLine = listing.lead_line(lead, viewer)
    return {
        "line": line,
        "minutes": lead.job.minutes,
        "span": _span(lead, viewer),
        "change_url": url_of("job", lead.job) if editable else "",
    }


def _span(lead: Lead, viewer: Viewer) -> str:
    """The days there are for it, while that is still of use."""
    task = lead.written.task if lead.written else None
    opens, closes = (task.opens, task.closes) if task else (lead.opens, lead.closes)
    if opens == closes or (task is not None and task.state != State.OPEN):
        return ""
    return f"Any day, {viewer.words.span(opens, closes)}"


def _gifts(occasion: Occasion, member: Member) -> dict[str, Any]:
    """Nothing at all for the one person whom an occasion is about."""
    about = queries.concerned(occasion)
    if about == {member.pk} and not occasion.who:
        return {"gifts": [], "gift_url": ""}
    add_url = reverse("occasions:gift_add", args=[occasion.household_id])
    return {
        "gifts": listing.gift_rows(queries.gifts_for(occasion, member)[:60]),
        "gift_url": f"{add_url}?occasion={occasion.pk}",
    }
