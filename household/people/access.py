"""Who may see or change what: the only door to a household's rows.

A view names the roles it is for. The decorator finds the member that the signed-in account is
in the household of the address, or answers 404: to an outsider the household does not exist.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any, Concatenate, ParamSpec, TypeVar

from django.contrib.auth.views import redirect_to_login
from django.db.models import Model, QuerySet
from django.http import Http404, HttpRequest, HttpResponseBase
from django.utils import timezone, translation
from django_htmx.http import HttpResponseClientRedirect
from django_htmx.middleware import HtmxDetails

from household.people.models import Account, Household, Member, Role

P = ParamSpec("P")
M = TypeVar("M", bound=Model)


class MemberRequest(HttpRequest):
    """A request that came through the door."""

    htmx: HtmxDetails
    household: Household
    member: Member


MemberView = Callable[Concatenate[MemberRequest, P], HttpResponseBase]
PlainView = Callable[..., HttpResponseBase]

EVERYBODY = (Role.ORGANISER, Role.MEMBER, Role.CHILD)
GROWN = (Role.ORGANISER, Role.MEMBER)


def allowed(*roles: Role) -> Callable[[MemberView[P]], PlainView]:
    """Let members of these roles in; sign-in for nobody, 404 for everyone else."""

    def decorate(view: MemberView[P]) -> PlainView:
        @wraps(view)
        def guarded(request: Any, household_id: int, *args: Any, **kwargs: Any) -> HttpResponseBase:
            if not request.user.is_authenticated:
                return _to_sign_in(request)
            member = membership(request.user, household_id)
            if member is None or member.role not in roles:
                raise Http404
            request.member = member
            request.household = member.household
            with timezone.override(member.household.zone), translation.override(
                member.household.language
            ):
                return view(request, *args, **kwargs)

        guarded.roles = roles  # type: ignore[attr-defined]  # the role walk reads it
        return guarded

    return decorate


organiser_only = allowed(Role.ORGANISER)
grown_only = allowed(*GROWN)
members_only = allowed(*EVERYBODY)


def membership(account: Account, household_id: int) -> Member | None:
    return (
        Member.objects.select_related("household")
        .filter(account=account, household_id=household_id, archived_at=None)
        .first()
    )


def memberships(account: Account) -> QuerySet[Member]:
    """The households a person may switch between, oldest first."""
    return (
        Member.objects.select_related("household")
        .filter(account=account, archived_at=None)
        .order_by("household_id")
    )


def own(queryset: QuerySet[M], household: Household, **lookup: Any) -> M:
    """The one row of this household that fits, or 404: ids of other homes tell nothing."""
    row = queryset.filter(household=household, **lookup).first()
    if row is None:
        raise Http404
    return row


def _to_sign_in(request: Any) -> HttpResponseBase:
    if request.htmx:
        # A fragment cannot hold the sign-in page: the whole page goes there.
        return HttpResponseClientRedirect(f"{redirect_to_login(request.path).url}")
    return redirect_to_login(request.get_full_path())
