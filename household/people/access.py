"""Who may see or change what: the only door to a household's rows.

A view names the roles it is for. The decorator finds the member that the signed-in account is
in the household of the address, or answers 404: to an outsider the household does not exist.
A shared screen has nobody signed in: it is let into the views that are for it, and no others.
"""

from __future__ import annotations

from collections.abc import Callable, Collection
from functools import wraps
from typing import Any, Concatenate, Final, ParamSpec, Protocol, TypeVar, cast

from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import ObjectDoesNotExist
from django.db.models import Model, QuerySet
from django.http import Http404, HttpRequest, HttpResponseBase
from django.utils import timezone, translation
from django_htmx.http import HttpResponseClientRedirect
from django_htmx.middleware import HtmxDetails

from household.kit.by_hand import SelectModels
from household.people.models import Account, Household, Member, Role

P = ParamSpec("P")
M = TypeVar("M", bound=Model)

# In a session that a code began: the ids of the only households that it opens.
HOMES: Final = "homes"
SCREEN: Final = "shared screen"  # stands among the roles, though it is no member's


class SharedScreen(Protocol):
    """What is known here of a device that nobody is signed in on; the rest is devices' own."""

    @property
    def pk(self) -> int: ...
    @property
    def household(self) -> Household: ...


class MemberRequest(HttpRequest):
    """A request that came through the door."""

    htmx: HtmxDetails
    household: Household
    member: Member


class ScreenRequest(HttpRequest):
    """A request of a household's shared screen."""

    htmx: HtmxDetails
    household: Household
    device: Any  # a SharedScreen; rooms above know it as their Device


MemberView = Callable[Concatenate[MemberRequest, P], HttpResponseBase]
ScreenView = Callable[Concatenate[ScreenRequest, P], HttpResponseBase]
PlainView = Callable[..., HttpResponseBase]

EVERYBODY = (Role.ORGANISER, Role.MEMBER, Role.CHILD)
GROWN = (Role.ORGANISER, Role.MEMBER)


def allowed(*roles: Role) -> Callable[[MemberView[P]], PlainView]:
    """Let members of these roles in; sign-in for nobody, 404 for everyone else."""

    def decorate(view: MemberView[P]) -> PlainView:
        @wraps(view)
        def guarded(request: Any, household_id: int, *args: Any, **kwargs: Any) -> HttpResponseBase:
            if not request.user.is_authenticated:
                if screen_of(request) is not None:
                    raise Http404
                return _to_sign_in(request)
            member = membership(request.user, household_id)
            if member is None or member.role not in roles or not _opens(request, household_id):
                raise Http404
            request.member = member
            request.household = member.household
            with (
                timezone.override(member.household.zone),
                translation.override(member.household.language),
            ):
                return view(request, *args, **kwargs)

        guarded.roles = roles  # type: ignore[attr-defined]  # the role walk reads it
        return guarded

    return decorate


def screen_only(view: ScreenView[P]) -> PlainView:
    """Let the household's shared screen in, and nobody else: it acts for whom one touches."""

    @wraps(view)
    def guarded(request: Any, household_id: int, *args: Any, **kwargs: Any) -> HttpResponseBase:
        screen = screen_of(request)
        if screen is None and not request.user.is_authenticated:
            return _to_sign_in(request)
        if screen is None or screen.household.pk != household_id:
            raise Http404
        request.household = screen.household
        with (
            timezone.override(screen.household.zone),
            translation.override(screen.household.language),
        ):
            return view(request, *args, **kwargs)

    guarded.roles = (SCREEN,)  # type: ignore[attr-defined]
    return guarded


organiser_only = allowed(Role.ORGANISER)
grown_only = allowed(*GROWN)
members_only = allowed(*EVERYBODY)


# Asked at every request.
_MEMBERSHIP = SelectModels(
    "FROM household_member m JOIN household_household h ON h.id = m.household_id "
    "WHERE m.account_id = %s AND m.household_id = %s AND m.archived_at IS NULL",
    m=Member,
    h=Household,
)


def membership(account: Account, household_id: int) -> Member | None:
    for member, household in _MEMBERSHIP.read(account.pk, household_id):
        member.household, member.account = household, account
        return cast(Member, member)
    return None


def memberships(account: Account, *, homes: Collection[int] | None = None) -> QuerySet[Member]:
    """The households a person may switch between, oldest first; only `homes` if given."""
    found = Member.objects.select_related("household").filter(account=account, archived_at=None)
    if homes is not None:
        found = found.filter(household_id__in=homes)
    return found.order_by("household_id")


def opened(request: HttpRequest) -> QuerySet[Member]:
    """The households that this session opens for whoever is signed in."""
    assert isinstance(request.user, Account)
    return memberships(request.user, homes=request.session.get(HOMES))


def screen_of(request: Any) -> SharedScreen | None:
    """The shared screen that asks, if it is one (see household.devices.middleware)."""
    return getattr(request, "device", None) or None


def _opens(request: HttpRequest, household_id: int) -> bool:
    homes: Collection[int] | None = request.session.get(HOMES)
    return homes is None or household_id in homes


def own(queryset: QuerySet[M], household: Household, **lookup: Any) -> M:
    """The one row of this household that fits, or 404: ids of other homes tell nothing."""
    try:
        return queryset.get(household=household, **lookup)
    except ObjectDoesNotExist:
        raise Http404 from None


def _to_sign_in(request: Any) -> HttpResponseBase:
    if request.htmx:
        # A fragment cannot hold the sign-in page: the whole page goes there.
        return HttpResponseClientRedirect(f"{redirect_to_login(request.path).url}")
    return redirect_to_login(request.get_full_path())
