"""Asking, answering, doing, thanking: what becomes of a request, and who is told of it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.test import Client

from household.chores import replanning, ticking
from household.chores.eligibility import task_refusal
from household.chores.models import State, Task
from household.chores.rows import task_caution
from household.devices.models import Notice
from household.kit.dates import DateWords
from household.kit.errors import NotAllowed, Refused
from household.people.models import Household, Member
from household.requests import actions, asking, keeping, queries
from household.requests.models import Request, RequestEvent, Standing
from household.requests.photos import Kept
from household.requests.standing import standing_words, stands
from household.requests.today import for_today
from household.week.assembling import who_may
from household.week.queries import read_week
from tests.factories import NOW, TODAY, make_area, make_member
from tests.requests.making import make_outsider, make_request, taken_by

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


def told(member: Member) -> list[str]:
    return [each.words for each in Notice.objects.filter(to=member).order_by("id")]


def happened(asked: Request) -> list[str]:
    return [each.did for each in RequestEvent.objects.filter(request=asked).order_by("id")]


# Asking


def test_asking_tells_who_is_asked(household: Household, member: Member, organiser: Member) -> None:
    asked = make_request(household, member, to=organiser)
    assert stands(asked) == Standing.ASKED
    assert told(organiser) == ["Dev asks for help: The tap drips"]
    assert told(member) == []


def test_asking_anybody_when_it_suits_tells_nobody(
    household: Household, member: Member, organiser: Member
) -> None:
    make_request(household, member, urgency="whenever")
    assert told(organiser) == []
    make_request(household, member, urgency="now")
    assert told(organiser) == ["Dev asks for help now: The tap drips"]


def test_sent_twice_it_is_asked_once(household: Household, member: Member) -> None:
    key, call = uuid4(), asking.Call(what="The tap drips")
    first, second = Kept("a" * 32, 10, 10), Kept("b" * 32, 10, 10)
    asked = asking.ask(
        household=household, asker=member, call=call, now=NOW, key=key, photos=[first]
    )
    again = asking.ask(
        household=household, asker=member, call=call, now=NOW, key=key, photos=[second]
    )
    assert again == asked
    assert Request.objects.count() == 1
    assert asking.took(asked, [first]) and not asking.took(again, [second])


# Answering


def test_taking_makes_a_task_for_the_helper(
    household: Household, member: Member, organiser: Member
) -> None:
    kitchen = make_area(household, "Kitchen")
    asked = make_request(household, member, kind="repair", area=kitchen)
    taken_by(organiser, asked, by=TODAY + 3 * DAY, day=TODAY + 2 * DAY)
    task = Task.objects.get()
    assert asked.task == task
    assert (task.name, task.member, task.area, task.minutes) == (
        "The tap drips",
        organiser,
        kitchen,
        20,
    )
    assert (task.opens, task.day, task.closes) == (TODAY, TODAY + 2 * DAY, TODAY + 3 * DAY)
    assert task.kind == "repairs"
    assert told(member) == ["Marit will help: The tap drips"]
    words = standing_words(asked, DateWords("dmy"), TODAY)
    assert words == "Marit does it on Saturday"


def test_taking_twice_makes_one_task(
    household: Household, member: Member, organiser: Member
) -> None:
    asked = make_request(household, member)
    for _ in range(2):
        taken_by(organiser, asked)
    assert Task.objects.count() == 1
    with pytest.raises(Refused, match="Marit has taken it on already"):
        taken_by(make_member(household, "Ilo"), asked)


def test_who_cannot_is_kept_and_the_asker_hears_when_nobody_can(
    household: Household, member: Member, organiser: Member
) -> None:
    third = make_member(household, "Ilo")
    asked = make_request(household, member)
    actions.cannot(asked=asked, member=organiser, now=NOW)
    assert stands(asked) == Standing.ASKED
    assert told(member) == []
    actions.cannot(asked=asked, member=third, now=NOW)
    actions.cannot(asked=asked, member=third, now=NOW)
    assert stands(asked) == Standing.CANNOT
    assert told(member) == ["Ilo can’t just now: The tap drips"]
    assert happened(asked) == ["asked", "cannot", "cannot"]


def test_who_is_asked_by_name_answers_alone(
    household: Household, member: Member, organiser: Member
) -> None:
    make_member(household, "Ilo")
    asked = make_request(household, member, to=organiser)
    actions.cannot(asked=asked, member=organiser, now=NOW)
    assert stands(asked) == Standing.CANNOT
    assert standing_words(asked, DateWords("dmy"), TODAY) == "Marit can’t just now"
    asking.ask_again(asked=asked, actor=member, to=None, now=NOW)
    assert stands(asked) == Standing.ASKED
    assert asked.declined == []


def test_giving_back_leaves_the_task_out(
    household: Household, member: Member, organiser: Member
) -> None:
    asked = taken_by(organiser, make_request(household, member))
    actions.give_back(asked=asked, member=organiser, now=NOW)
    assert Task.objects.get().state == State.SKIPPED
    assert stands(asked) == Standing.CANNOT
    assert told(member)[-1] == "Marit can’t after all: The tap drips"
    taken_by(member, asked)
    assert stands(asked) == Standing.TAKEN


def test_a_skipped_task_asks_anew(household: Household, member: Member, organiser: Member) -> None:
    asked = taken_by(organiser, make_request(household, member))
    assert asked.task
    ticking.skip(task=asked.task, member=organiser, reason="No time", now=NOW, horizon=TODAY)
    again = queries.with_people(queries.visible(household, member)).get()
    assert stands(again) == Standing.CANNOT
    assert list(queries.asked_of(Request.objects.all(), organiser)) == [asked]


# Doing and thanking


def test_a_tick_is_done_and_one_touch_thanks(
    household: Household, member: Member, organiser: Member
) -> None:
    asked = taken_by(organiser, make_request(household, member))
    with pytest.raises(Refused, match="not done yet"):
        actions.thank(asked=asked, member=member, now=NOW)
    assert asked.task
    ticking.tick(task=asked.task, member=organiser, now=NOW, horizon=TODAY)
    assert stands(asked) == Standing.DONE
    assert list(queries.to_be_thanked(Request.objects.all(), member)) == [asked]
    with pytest.raises(NotAllowed):
        actions.thank(asked=asked, member=organiser, now=NOW)
    for _ in range(2):
        actions.thank(asked=asked, member=member, now=NOW)
    assert stands(asked) == Standing.THANKED
    assert told(organiser)[-1] == "Dev says thank you: The tap drips"
    assert happened(asked).count("thanked") == 1


def test_what_it_took_stands_in_the_area(
    household: Household, member: Member, organiser: Member
) -> None:
    bathroom = make_area(household, "Bathroom")
    imre = make_outsider(household)
    asked = make_request(household, member, area=bathroom)
    actions.go_outside(asked=asked, actor=organiser, outsider=imre, now=NOW)
    outcome = actions.Outcome(
        parts="Washer", cost=Decimal("12.50"), warranty_until=TODAY + 365 * DAY, outsider=imre
    )
    for _ in range(2):
        actions.finish(asked=asked, actor=organiser, outcome=outcome, now=NOW)
    [found] = queries.mended_in(bathroom)
    assert (found.parts, found.cost, found.done_on) == ("Washer", Decimal("12.50"), TODAY)
    assert found.is_under_warranty(TODAY)
    [known] = queries.outsiders(household)
    assert (known.jobs, known.paid, known.last_on) == (1, Decimal("12.50"), TODAY)
    assert [line.sentence for line in for_today(member, NOW)] == [
        "Imre Volk has done this for you: The tap drips"
    ]


def test_finishing_ticks_the_helpers_task(
    household: Household, member: Member, organiser: Member
) -> None:
    asked = taken_by(organiser, make_request(household, member))
    actions.finish(asked=asked, actor=member, outcome=actions.Outcome(), now=NOW)
    task = Task.objects.get()
    assert (task.state, task.done_by) == (State.DONE, organiser)


def test_withdrawing_frees_the_helper(
    household: Household, member: Member, organiser: Member, child: Member
) -> None:
    asked = taken_by(organiser, make_request(household, member))
    with pytest.raises(NotAllowed):
        actions.withdraw(asked=asked, actor=child, now=NOW)
    for _ in range(2):
        actions.withdraw(asked=asked, actor=member, now=NOW)
    assert Task.objects.get().state == State.SKIPPED
    assert told(organiser).count("Not needed any more: The tap drips") == 1
    with pytest.raises(Refused):
        taken_by(organiser, asked)


# Dangers


def test_a_childs_dangerous_request_goes_to_adults_only(
    household: Household, child: Member, member: Member
) -> None:
    teen = make_member(household, "Ilo", age_band="12_15")
    asked = make_request(household, child, "The socket is loose", kind="repair", urgency="now")
    assert asked.for_adults and asked.dangers == ["mains"]
    assert told(member) and not told(teen)
    for one, count in ((teen, 0), (member, 1), (child, 1)):
        assert queries.visible(household, one).count() == count
    with pytest.raises(Refused, match="goes to grown-ups"):
        make_request(household, child, "The socket is loose", to=teen)


def test_no_task_of_it_goes_to_a_child_or_without_a_licence(
    household: Household, child: Member, member: Member, organiser: Member
) -> None:
    asked = make_request(household, organiser, "The socket is loose", kind="repair")
    for one in (child, member):
        with pytest.raises(Refused):
            taken_by(one, asked)
    assert not Task.objects.exists()
    electrician = make_member(household, "Ilo", skills=["licensed_electrician"])
    taken_by(electrician, asked)
    task = Task.objects.get()
    # The limit stays on the task, wherever it is handed.
    for one in (child, member):
        assert task_refusal(task, one)
        with pytest.raises(Refused):
            ticking.hand_over(task=task, to=one, actor=organiser, now=NOW)
    assert not task_refusal(task, electrician)


def test_in_the_pool_it_shows_to_those_who_may_with_its_caution(
    household: Household,
    child: Member,
    member: Member,
    organiser: Member,
    client_for: Callable[[Member], Client],
) -> None:
    electrician = make_member(household, "Ilo", skills=["licensed_electrician"])
    asked = make_request(household, organiser, "The socket is loose", kind="repair")
    taken_by(electrician, asked)
    task = Task.objects.get()
    ticking.hand_over(task=task, to=None, actor=organiser, now=NOW)
    caution = "Mains electricity is for a licensed person."
    for one, shown in ((child, False), (member, False), (electrician, True)):
        page = client_for(one).get(f"/h/{household.pk}/today/").content.decode()
        assert ('Take<span class="vh">: The socket is loose' in page) == shown
        assert (caution in page) == shown
    assert task_caution(task)[0] == caution


def test_the_share_out_gives_it_to_nobody_who_may_not(
    household: Household, child: Member, member: Member, organiser: Member
) -> None:
    asked = make_request(household, organiser, "The socket is loose", kind="repair")
    electrician = make_member(household, "Ilo", skills=["licensed_electrician"])
    taken_by(electrician, asked)
    week = read_week(household, TODAY, TODAY)
    assert who_may(week, Task.objects.get()) == [electrician]


def test_a_lost_licence_lets_the_task_go(
    household: Household, member: Member, organiser: Member
) -> None:
    member.skills = ["licensed_electrician"]
    member.save()
    taken_by(member, make_request(household, organiser, "The socket is loose", kind="repair"))
    member.skills = []
    member.save()
    assert replanning.limits_changed(member=member, actor=organiser, now=NOW) == 1
    assert Task.objects.get().member is None


def test_an_adult_may_look_for_somebody(
    household: Household, child: Member, member: Member
) -> None:
    asked = make_request(household, child, "The boiler is loud", kind="repair")
    with pytest.raises(Refused):
        taken_by(child, asked, arrange=True)
    taken_by(member, asked, arrange=True)
    task = Task.objects.get()
    assert task.name == "Find somebody: The boiler is loud"
    assert task_refusal(task, child) and not task_refusal(task, member)


def test_an_adult_says_what_is_dangerous(
    household: Household, child: Member, member: Member
) -> None:
    asked = make_request(household, child, "Colour the roof of my doll’s house", kind="other")
    assert asked.dangers == ["roof"]
    with pytest.raises(NotAllowed):
        actions.set_dangers(asked=asked, actor=child, chosen=[], now=NOW)
    actions.set_dangers(asked=asked, actor=member, chosen=[], now=NOW)
    assert not asked.for_adults and asked.dangers == []
    taken_by(member, asked)
    actions.set_dangers(asked=asked, actor=member, chosen=["mains"], now=NOW)
    assert stands(asked) == Standing.CANNOT, "who may not do it any more is let off"
    assert Task.objects.get().state == State.SKIPPED


# Estimates


def test_estimates_stand_side_by_side_and_one_is_chosen(
    household: Household, member: Member, organiser: Member
) -> None:
    imre = make_outsider(household)
    asked = make_request(household, member)

    def note(amount: str, **more: object) -> object:
        values = {"outsider": None, "who": "", **more}
        return keeping.add_estimate(
            asked=asked,
            actor=organiser,
            now=NOW,
            amount=Decimal(amount),
            **values,  # type: ignore[arg-type]
        )

    first, second = note("65", outsider=imre), note("90", who="Somebody else")
    assert note("65", outsider=imre) == first
    with pytest.raises(Refused, match="whose estimate"):
        note("10")
    assert [str(each.amount) for each in asked.estimates.all()] == ["65.00", "90.00"]
    for estimate in (second, first, first):
        estimate.refresh_from_db()  # type: ignore[attr-defined]
        keeping.choose_estimate(estimate=estimate, actor=organiser, now=NOW)  # type: ignore[arg-type]
    chosen = asked.estimates.filter(chosen=True)
    assert [each.outsider for each in chosen] == [imre]
    asked.refresh_from_db()
    assert (asked.standing, asked.outsider) == (Standing.OUTSIDE, imre)
