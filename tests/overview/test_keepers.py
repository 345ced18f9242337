"""Who keeps what in mind, and handing that over."""

from __future__ import annotations

import uuid

from django.urls import reverse

from household.chores.keeping import hand_keeping
from household.chores.models import Did, Entry
from household.overview import queries
from tests.factories import NOW, make_chore


def address(household, name):
    return reverse(f"overview:{name}", args=[household.pk])


def kept(household) -> dict[str, int]:
    members = household.members.order_by("id")
    return {
        keeper.member.name if keeper.member else "nobody": len(keeper.chores)
        for keeper in queries.keepers(household, members)
    }


def test_every_member_and_nobody_with_their_chores(household, organiser, member, now):
    make_chore(household, keeper=organiser)
    make_chore(household, keeper=organiser)
    make_chore(household)
    gone = make_chore(household, keeper=organiser)
    gone.archived_at = now
    gone.save()
    assert kept(household) == {"Marit": 2, "Dev": 0, "nobody": 1}


def test_one_chore_is_handed_over_and_taken_back(household, organiser, member, client_for):
    chore = make_chore(household, "Bins", keeper=organiser)
    client = client_for(organiser)
    client.post(address(household, "hand"), {"what": chore.pk, "to": member.pk})
    chore.refresh_from_db()
    assert chore.keeper == member
    entry = Entry.objects.get(did=Did.HANDED)
    assert (entry.chore, entry.about, entry.before, entry.after) == (
        chore,
        member,
        {"keeper_id": organiser.pk},
        {"keeper_id": member.pk},
    )
    page = client.get(address(household, "keepers")).content.decode()
    assert "“Bins” is kept in mind by Dev now." in page
    for _ in range(2):
        client.post(address(household, "take_back"), {"entries": entry.pk})
    chore.refresh_from_db()
    assert chore.keeper == organiser
    assert Entry.objects.filter(did=Did.UNDONE).count() == 1
    history = client.get(address(household, "history")).content.decode()
    assert "handed its keeping to Dev" in history


def test_all_of_a_keepers_chores_go_at_once(household, organiser, member, client_for):
    chores = [make_chore(household, keeper=organiser) for _ in range(3)]
    other = make_chore(household)
    client = client_for(organiser)
    client.post(address(household, "hand"), {"what": f"all-{organiser.pk}", "to": member.pk})
    assert kept(household) == {"Marit": 0, "Dev": 3, "nobody": 1}
    client.post(address(household, "hand"), {"what": "all-0", "to": member.pk})
    assert kept(household) == {"Marit": 0, "Dev": 4}
    other.refresh_from_db()
    assert other.keeper == member
    entries = Entry.objects.filter(did=Did.HANDED, chore__in=chores)
    client.post(address(household, "take_back"), {"entries": ",".join(str(e.pk) for e in entries)})
    assert kept(household) == {"Marit": 3, "Dev": 1}


def test_the_same_handing_over_sent_twice_is_kept_once(household, organiser, member):
    chore, key = make_chore(household, keeper=organiser), uuid.uuid4()
    for to in (member, organiser):
        chore.refresh_from_db()
        hand_keeping(household=household, chores=[chore], to=to, actor=organiser, now=NOW, key=key)
    chore.refresh_from_db()
    assert chore.keeper == member
    assert Entry.objects.filter(did=Did.HANDED).count() == 1


def test_handing_it_to_its_keeper_writes_nothing(household, organiser):
    chore = make_chore(household, keeper=organiser)
    assert (
        hand_keeping(household=household, chores=[chore], to=organiser, actor=organiser, now=NOW)
        == []
    )


def test_what_was_handed_on_since_is_not_taken_back(household, organiser, member, client_for):
    chore = make_chore(household, keeper=organiser)
    first = hand_keeping(household=household, chores=[chore], to=member, actor=organiser, now=NOW)
    chore.refresh_from_db()
    hand_keeping(household=household, chores=[chore], to=None, actor=organiser, now=NOW)
    response = client_for(organiser).post(address(household, "take_back"), {"entries": first[0].pk})
    assert response.status_code == 422
    chore.refresh_from_db()
    assert chore.keeper is None


def test_an_unfinished_form_comes_back_with_what_is_missing(household, organiser, client_for):
    chore = make_chore(household, keeper=organiser)
    response = client_for(organiser).post(address(household, "hand"), {"what": chore.pk})
    assert response.status_code == 422
    assert "Choose who keeps it from now on." in response.content.decode()


def test_a_chore_or_member_of_another_household_is_no_choice(
    household, organiser, outsider, client_for
):
    mine = make_chore(household, keeper=organiser)
    theirs = make_chore(outsider.household, keeper=outsider)
    client = client_for(organiser)
    for what, to in ((theirs.pk, organiser.pk), (mine.pk, outsider.pk)):
        data = {"what": what, "to": to}
        assert client.post(address(household, "hand"), data).status_code == 422
    theirs.refresh_from_db()
    assert theirs.keeper == outsider


def test_everybody_sees_it_and_organisers_hand_it_over(
    household, organiser, member, child, client_for
):
    chore = make_chore(household, keeper=organiser)
    for person, offered, status in (
        (organiser, True, 302),
        (member, False, 404),
        (child, False, 404),
    ):
        client = client_for(person)
        page = client.get(address(household, "keepers"))
        assert page.status_code == 200
        assert ("Hand it over" in page.content.decode()) == offered
        data = {"what": chore.pk, "to": member.pk}
        assert client.post(address(household, "hand"), data).status_code == status
