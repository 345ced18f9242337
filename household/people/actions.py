"""Changing households and the people in them. What follows for tasks is the rooms' above."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import datetime

from django.db import IntegrityError, transaction

from household.kit.by_hand import run
from household.kit.errors import Refused
from household.kit.writing import writes
from household.people.habits import Habits
from household.people.marks import Mark, free, mark_of, taken
from household.people.models import Account, Household, Member, Role

LAST_ORGANISER = (
    "{name} is the only organiser who can sign in. Make somebody else an organiser first."
)
NAME_TAKEN = (
    "That name is taken. Choose another one, or type that person’s own password "
    "to let them in with the name they have."
)
LIVES_ELSEWHERE = (
    "{name} signs in to another household too, and so changes this under More, Your settings."
)


@dataclass(frozen=True, slots=True)
class Particulars:
    """What an organiser says of a member. `free_minutes` are seven figures, Monday first."""

    name: str
    shape: str
    hue: str
    role: str
    age_band: str
    weight: int
    free_minutes: Sequence[int]
    skills: Sequence[str] = ()
    dislikes: Mapping[str, int] | None = None
    mirrored: bool = False
    theme: str = ""


@dataclass(frozen=True, slots=True)
class SignIn:
    """A name to sign in with and a password; an empty password leaves the old one."""

    username: str
    password: str = ""


def touch_household(household_id: int) -> None:
    """Grow the change counter by which pages and feeds are kept."""
    run("UPDATE household_household SET revision = revision + 1 WHERE id = %s", household_id)


@writes
def renamed(*, household: Household, now: datetime) -> None:
    """A member or an area has another name, or days and times are told in another way.

    All events of calendars given out are as new as that. The change itself grows the counter.
    """
    household.renamed_at = now
    Household.objects.filter(pk=household.pk).update(renamed_at=now)


def touch_calendars(household_id: int) -> None:
    """Grow both counters: what calendars taken in say has changed."""
    run(
        "UPDATE household_household SET revision = revision + 1, calendars = calendars + 1 "
        "WHERE id = %s",
        household_id,
    )


@writes
def change_household(*, household: Household, habits: Habits) -> frozenset[str]:
    """Set the household's habits; returns the names of the fields that changed."""
    fields = habits.as_fields()
    changed = frozenset(name for name in fields if getattr(household, name) != fields[name])
    if changed:
        for name in changed:
            setattr(household, name, fields[name])
        household.save(update_fields=changed)
        touch_household(household.pk)
    return changed


@writes
def add_member(
    *, household: Household, particulars: Particulars, sign_in: SignIn | None = None
) -> Member:
    """Somebody new lives here. A mark that is taken is refused, so nobody comes in twice."""
    member = Member(household=household, **_columns(particulars))
    _save(member)
    if sign_in is not None:
        let_sign_in(member=member, sign_in=sign_in)
    touch_household(household.pk)
    return member


@writes
def change_member(
    *, member: Member, particulars: Particulars, sign_in: SignIn | None = None
) -> frozenset[str]:
    """Change what is said of a member; returns the names of the fields that changed."""
    fields = _columns(particulars)
    changed = frozenset(name for name in fields if getattr(member, name) != fields[name])
    if "role" in changed:
        _keep_an_organiser(member)
    for name in changed:
        setattr(member, name, fields[name])
    if changed:
        _save(member, changed)
    if sign_in is not None:
        let_sign_in(member=member, sign_in=sign_in)
    touch_household(member.household_id)
    return changed


@writes
def let_sign_in(*, member: Member, sign_in: SignIn) -> None:
    """Give a member a name and password to sign in with, or change them.

    A name that somebody already has is given only to those who know its password: that is how
    one person comes to belong to several households.
    """
    account = member.account
    holder = _holder(sign_in.username)
    if account is None:
        member.account = _let_in(member, sign_in, holder)
        member.save(update_fields=["account"])
        return
    if holder is not None and holder.pk != account.pk:
        raise Refused("That name is taken. Choose another one.", field="username")
    renamed = account.username != sign_in.username
    if not renamed and not sign_in.password:
        return
    if account.memberships.filter(archived_at=None).exclude(pk=member.pk).exists():
        field = "password" if sign_in.password else "username"
        raise Refused(LIVES_ELSEWHERE.format(name=member.name), field=field)
    account.username = sign_in.username
    if sign_in.password:
        account.set_password(sign_in.password)
    account.save(update_fields=["username", "password"])


@writes
def archive_member(*, member: Member, now: datetime) -> Member:
    """A member no longer lives here. Who lives nowhere any more is signed out everywhere."""
    if member.archived_at is not None:
        return member
    _keep_an_organiser(member)
    member.archived_at = now
    member.save(update_fields=["archived_at"])
    account = member.account
    if account is not None and not account.is_staff and not _lives_somewhere(account):
        # An account that is not active has no sessions: Django asks at each request.
        account.is_active = False
        account.save(update_fields=["is_active"])
    touch_household(member.household_id)
    return member


@writes
def restore_member(*, member: Member) -> Member:
    """A member is back, with another mark if somebody else has theirs by now."""
    if member.archived_at is None:
        return member
    used = taken(member.household)
    if mark_of(member) in used:
        mark = _first_free(used)
        member.shape, member.hue = mark.shape, mark.hue
    member.archived_at = None
    _save(member, {"shape", "hue", "archived_at"})
    if member.account is not None and not member.account.is_active:
        member.account.is_active = True
        member.account.save(update_fields=["is_active"])
    touch_household(member.household_id)
    return member


@writes
def set_own(*, member: Member, mirrored: bool, theme: str) -> None:
    """How a member's own pages look."""
    member.mirrored, member.theme = mirrored, theme
    member.save(update_fields=["mirrored", "theme"])
    touch_household(member.household_id)


@writes
def set_password(*, account: Account, password: str) -> None:
    """A new password, set by the person whose account it is."""
    account.set_password(password)
    account.save(update_fields=["password"])


def _columns(particulars: Particulars) -> dict[str, object]:
    return {
        **asdict(particulars),
        "free_minutes": list(particulars.free_minutes),
        "skills": list(particulars.skills),
        "dislikes": dict(particulars.dislikes or {}),
    }


def _save(member: Member, fields: frozenset[str] | set[str] | None = None) -> None:
    used = taken(member.household, besides=member if member.pk else None)
    owner = used.get(mark_of(member)) if member.archived_at is None else None
    if owner is not None:
        raise Refused(_mark_taken(mark_of(member), owner), field="mark")
    try:
        with transaction.atomic():
            member.save(update_fields=fields)
    except IntegrityError:
        # Somebody else took it between the question and the answer.
        raise Refused("That mark was just taken. Choose another one.", field="mark") from None


def _mark_taken(mark: Mark, owner: str) -> str:
    return f"The {mark.words.lower()} is {owner}’s. Choose another mark."


def _first_free(used: Mapping[Mark, str]) -> Mark:
    marks = free(used)
    if not marks:
        raise Refused("All 36 marks are taken. Put somebody away first.", field="mark")
    return marks[0]


def _keep_an_organiser(member: Member) -> None:
    """A household always has an organiser who can sign in."""
    if member.role != Role.ORGANISER or member.archived_at is not None:
        return
    others = Member.objects.filter(
        household=member.household,
        role=Role.ORGANISER,
        archived_at=None,
        account__is_active=True,
    ).exclude(pk=member.pk)
    if not others.exists():
        raise Refused(LAST_ORGANISER.format(name=member.name), field="role")


def _holder(username: str) -> Account | None:
    try:
        return Account.objects.get_by_natural_key(username)
    except Account.DoesNotExist:
        return None


def _let_in(member: Member, sign_in: SignIn, holder: Account | None) -> Account:
    if not sign_in.password:
        raise Refused(f"Type a password for {member.name}.", field="password")
    if holder is None:
        return Account.objects.create_user(sign_in.username, sign_in.password)
    if not holder.check_password(sign_in.password):
        raise Refused(NAME_TAKEN, field="username")
    before = holder.memberships.filter(household=member.household).first()
    if before is not None:
        where = "lived here before: bring them back" if before.archived_at else "lives here"
        raise Refused(f"That is {before.name}, who {where}.", field="username")
    if not holder.is_active:
        holder.is_active = True
        holder.save(update_fields=["is_active"])
    return holder


def _lives_somewhere(account: Account) -> bool:
    return account.memberships.filter(archived_at=None).exists()
