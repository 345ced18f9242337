"""The week on a phone and on a laptop: planned, settled, changed by hand, eased, and explained."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date, timedelta
from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import Browser, Locator, Page, expect

from household import daily
from household.chores.models import Importance, State, Task
from household.demo.load import load_demo
from household.people.models import Household, Member
from household.week import sitting
from household.week.models import WeekPlan
from tests.browser.conftest import opened, watched
from tests.browser.launch import LAPTOP, PHONE
from tests.browser.signing import sign_in
from tests.factories import make_chore, make_household, make_member, make_task

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.browser]

Reader = Callable[[Page], None]
DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


@pytest.fixture(autouse=True)
def short_search(monkeypatch: pytest.MonkeyPatch) -> None:
    """The search may take three seconds of the test machine's time, not ten."""
    monkeypatch.setattr(sitting, "SECONDS", 3.0)


@pytest.fixture(params=[PHONE, LAPTOP], ids=lambda screen: screen.name)
def without_script(request: pytest.FixtureRequest, browser: Browser) -> Iterator[Page]:
    yield from watched(opened(browser, request.param, java_script_enabled=False))


class Home:
    """Two grown-ups and a child with an hour a day; a few tasks next week, whose first day is
    `first`, so that no day of it is over."""

    def __init__(self, server: Any) -> None:
        self.server = server
        self.household: Household = make_household(time_zone="UTC", country="IE")
        self.ana: Member = make_member(
            self.household, "Ana", role="organiser", free_minutes=[60] * 7
        )
        self.ben: Member = make_member(self.household, "Ben", free_minutes=[60] * 7)
        self.cleo: Member = make_member(
            self.household, "Cleo", role="child", age_band="8_11", free_minutes=[30] * 7
        )
        today = timezone.now().date()
        self.first = today + timedelta(days=7 - today.weekday())
        self.supper = make_chore(
            self.household,
            "Cook supper",
            rule="FREQ=DAILY",
            minutes=30,
            starts=self.first,
            min_age="12_15",
            who="anyone",
            importance=Importance.LOW,
            now=timezone.now(),
        )
        self.windows = self.task("Wash the windows", 40)
        self.photos = self.task("Back up the photos", 15)

    def task(self, name: str, minutes: int, day: int | None = None) -> Task:
        """Next week: for one day of it (0 is Monday), or for any."""
        if day is not None:
            return make_task(self.household, name, minutes=minutes, day=self.day(day))
        return make_task(
            self.household,
            name,
            minutes=minutes,
            opens=self.first,
            closes=self.day(6),
            day=None,
        )

    def day(self, number: int) -> date:
        return self.first + timedelta(days=number)

    def open(self, page: Page, member: Member, path: str = "") -> str:
        base = sign_in(page, self.server, member)
        address = f"{base}/week/{self.first.isoformat()}/{path}"
        page.goto(address)
        return address

    def plan(self) -> WeekPlan:
        return WeekPlan.objects.get(household=self.household, starts=self.first)

    def place(self, task: Task) -> tuple[int, str] | None:
        """Where the draft has a task: member and day."""
        kept = self.plan().draft.get(str(task.pk))
        return (kept["member"], kept["day"]) if kept else None


@pytest.fixture
def home(live_server: Any) -> Home:
    return Home(live_server)


def cell(page: Page, member: Member, day: date) -> Locator:
    return page.locator(f'td[data-member="{member.pk}"][data-day="{day.isoformat()}"]')


def chosen(page: Page) -> Locator:
    return page.locator("#chosen")


def focused(page: Page) -> str:
    return str(page.evaluate("document.activeElement.id"))


class Touches:
    """Counts what a person touches."""

    def __init__(self) -> None:
        self.count = 0

    def __call__(self, target: Locator) -> None:
        self.count += 1
        target.click()


@pytest.mark.parametrize("screen", [PHONE, LAPTOP], ids=lambda screen: screen.name)
def test_the_demo_household_plans_a_week_in_six_touches(
    screen: Any, browser: Browser, live_server: Any, axe: Reader, fits: Reader
) -> None:
    now = timezone.now()
    made = load_demo(now=now)
    daily.run(now=now, household=made.household)
    touch = Touches()
    for page in watched(opened(browser, screen)):
        base = sign_in(page, live_server, made.members["marit"])
        page.goto(f"{base}/today/")
        touch(page.get_by_role("navigation", name="Main").get_by_role("link", name="Week"))
        touch(page.get_by_role("link", name="Later"))
        touch(page.get_by_role("button", name="Share it out"))
        expect(page.locator("#verdict")).to_contain_text("the agreed share")
        touch(page.get_by_role("button", name="Settle the week"))
        expect(page.get_by_text("The week is settled")).to_be_visible()
        axe(page)
        fits(page)
    assert touch.count <= 6
    plan = WeekPlan.objects.get(household=made.household)
    assert plan.settled_by == made.members["marit"]
    placed = Task.objects.filter(
        household=made.household,
        state=State.OPEN,
        closes__range=(plan.starts, plan.ends),
        opens__gte=plan.starts,
    )
    assert placed.exists()
    assert not placed.filter(member=None).exists()


def test_choosing_a_task_shows_where_it_fits_and_puts_it_there(
    either: Page, home: Home, axe: Reader, fits: Reader
) -> None:
    home.open(either, home.ana)
    either.get_by_role("link", name="Wash the windows").click()
    expect(chosen(either)).to_be_focused()
    expect(chosen(either)).to_contain_text("Fits on 7 days.")
    # The child has half an hour a day: forty minutes fit nowhere.
    expect(cell(either, home.cleo, home.day(3)).get_by_role("button")).to_have_count(0)
    axe(either)
    fits(either)
    if either.locator(".week-days").is_visible():
        either.locator(".week-days").get_by_role("link", name="Thu").click()
        expect(chosen(either)).to_be_visible()
    there = cell(either, home.ben, home.day(3))
    there.get_by_role("button", name="Put it here: Ben, Thursday").click()
    expect(there.get_by_role("link", name="Wash the windows")).to_be_focused()
    expect(either.get_by_role("status").filter(has_text="is with Ben on Thursday")).to_be_visible()
    assert home.place(home.windows) == (home.ben.pk, home.day(3).isoformat())
    either.get_by_role("button", name="Undo").click()
    expect(either.locator(".any").get_by_role("link", name="Wash the windows")).to_be_visible()
    assert home.place(home.windows) is None
    axe(either)
    fits(either)


def test_a_task_is_moved_by_the_menu_and_by_keyboard_alone(either: Page, home: Home) -> None:
    home.open(either, home.ana)
    either.get_by_role("link", name="Back up the photos").focus()
    either.keyboard.press("Enter")
    expect(chosen(either)).to_be_focused()
    either.keyboard.press("Tab")
    assert focused(either) == "put-member"
    either.keyboard.type("Cl")
    either.keyboard.press("Tab")
    either.keyboard.type("Sat")
    either.keyboard.press("Tab")
    expect(either.get_by_role("button", name="Put it there")).to_be_focused()
    either.keyboard.press("Enter")
    moved = cell(either, home.cleo, home.day(5)).get_by_role("link", name="Back up the photos")
    expect(moved).to_be_focused()
    assert home.place(home.photos) == (home.cleo.pk, home.day(5).isoformat())
    # The same again from its cell, by the menu, and back to where it stood before.
    either.keyboard.press("Enter")
    expect(chosen(either)).to_be_focused()
    either.get_by_label("Who?").select_option(label="Ben")
    either.get_by_role("button", name="Put it there").click()
    expect(cell(either, home.ben, home.day(5)).get_by_role("link")).to_have_count(1)
    either.get_by_role("button", name="Undo").focus()
    either.keyboard.press("Enter")
    expect(cell(either, home.cleo, home.day(5)).get_by_role("link")).to_have_count(1)
    expect(either.get_by_role("button", name="Undo")).to_be_focused()
    assert home.place(home.photos) == (home.cleo.pk, home.day(5).isoformat())


def test_escape_and_close_let_the_task_go_and_the_focus_returns(laptop: Page, home: Home) -> None:
    home.open(laptop, home.ana)
    laptop.get_by_role("link", name="Back up the photos").click()
    laptop.get_by_role("link", name="Close").click()
    expect(chosen(laptop)).to_have_count(0)
    expect(laptop.get_by_role("link", name="Back up the photos")).to_be_focused()
    laptop.keyboard.press("Enter")
    expect(chosen(laptop)).to_be_focused()
    laptop.keyboard.press("Escape")
    expect(chosen(laptop)).to_have_count(0)
    expect(laptop.get_by_role("link", name="Back up the photos")).to_be_focused()


def test_a_task_is_dragged_and_the_drag_is_undone(laptop: Page, home: Home) -> None:
    home.open(laptop, home.ana)
    target = cell(laptop, home.ben, home.day(1))
    laptop.locator(f'[data-task="{home.windows.pk}"]').drag_to(target)
    expect(target.get_by_role("link", name="Wash the windows")).to_be_visible()
    assert home.place(home.windows) == (home.ben.pk, home.day(1).isoformat())
    other = cell(laptop, home.ana, home.day(2))
    laptop.locator(f'td [data-task="{home.windows.pk}"]').drag_to(other)
    expect(other.get_by_role("link", name="Wash the windows")).to_be_visible()
    laptop.get_by_role("button", name="Undo").click()
    expect(target.get_by_role("link", name="Wash the windows")).to_be_visible()


def test_a_hard_limit_is_said_and_nothing_is_lost(laptop: Page, home: Home) -> None:
    home.open(laptop, home.ana)
    supper = home.supper.tasks.get(closes=home.day(1))
    laptop.locator(f"#t-{supper.pk}").evaluate("link => link.closest('details').open = true")
    laptop.locator(f"#t-{supper.pk}").click()
    laptop.get_by_label("Who?").select_option(label="Cleo")
    laptop.get_by_role("button", name="Put it there").click()
    expect(laptop.locator("#toast")).to_contain_text("Cleo")
    expect(laptop.locator("table.wk")).to_be_visible()
    expect(chosen(laptop)).to_be_visible()
    assert not WeekPlan.objects.filter(household=home.household).exists()


def test_equal_tasks_are_one_line_that_opens(either: Page, home: Home) -> None:
    home.open(either, home.ana)
    line = either.locator(".any summary", has_text="Cook supper, 7 times")
    expect(line).to_contain_text("210")
    line.click()
    either.get_by_role("link", name="Wednesday, nobody’s yet").click()
    expect(chosen(either)).to_contain_text("Cook supper")


def test_changing_a_settled_week_first_shows_what_changes_for_whom(
    either: Page, home: Home, axe: Reader, fits: Reader
) -> None:
    home.open(either, home.ana)
    either.get_by_role("button", name="Share it out").click()
    expect(either.locator("#verdict")).to_contain_text("agreed share")
    either.get_by_role("button", name="Settle the week").click()
    expect(either.get_by_text("The week is settled")).to_be_visible()
    home.photos.refresh_from_db()
    assert home.photos.member is not None
    other = home.ben if home.photos.member == home.ana else home.ana
    before = home.photos.member
    either.locator(f"#t-{home.photos.pk}").evaluate("link => link.click()")
    either.get_by_label("Who?").select_option(label=other.name)
    either.get_by_role("button", name="Put it there").click()
    expect(either.get_by_role("status").filter(has_text=f"is with {other.name}")).to_be_visible()
    either.get_by_role("button", name="Settle the week").click()
    expect(either.get_by_role("heading", name="Settle")).to_be_visible()
    expect(either.get_by_text(f"Back up the photos goes to {other.name}")).to_be_visible()
    home.photos.refresh_from_db()
    assert home.photos.member == before
    axe(either)
    fits(either)
    either.get_by_role("button", name="Settle it so").click()
    expect(either.get_by_text("The week is settled: 1 task given a place.")).to_be_visible()
    home.photos.refresh_from_db()
    assert home.photos.member == other


def test_half_the_strength_by_the_slider_and_all_of_it_back(
    either: Page, home: Home, axe: Reader, fits: Reader
) -> None:
    for number in range(6):
        home.task(f"Sort box {number}", 90)
    home.open(either, home.ana)
    either.get_by_role("link", name="Less strength this week?").click()
    slider = either.get_by_label("For everybody")
    slider.focus()
    for _ in range(5):
        either.keyboard.press("ArrowLeft")
    expect(either.locator("#strength-words")).to_have_text("half")
    expect(either.get_by_role("heading", name="wait")).to_be_visible()
    expect(either.get_by_label("For everybody")).to_be_focused()
    # 150 minutes a day, seven days, half of it.
    expect(either.get_by_text("8 h 45")).to_be_visible()
    axe(either)
    fits(either)
    either.get_by_role("button", name="Ease the week so").click()
    expect(either.get_by_text("A lighter week")).to_be_visible()
    assert home.plan().strength == 50
    eased = Task.objects.filter(household=home.household, state=State.SKIPPED).count()
    assert eased
    either.get_by_role("button", name="eased task").click()
    expect(either.get_by_text("as they were")).to_be_visible()
    assert not Task.objects.filter(household=home.household, state=State.SKIPPED).exists()
    assert home.plan().strength == 100


def test_the_bare_minimum_is_one_touch(either: Page, home: Home) -> None:
    home.open(either, home.ana)
    either.get_by_role("button", name="Only the bare minimum").click()
    expect(either.get_by_text("A lighter week")).to_be_visible()
    assert home.supper.tasks.filter(state=State.SKIPPED, closes__lte=home.day(6)).count() == 7
    expect(either.get_by_role("button", name="eased task")).to_be_visible()


def test_of_what_waits_each_day_can_be_kept(laptop: Page, home: Home) -> None:
    home.open(laptop, home.ana, "fit/?bare=1&strength=0")
    laptop.locator("summary", has_text="Cook supper, 7 times").click()
    laptop.get_by_label("Wednesday").uncheck()
    laptop.get_by_role("button", name="Ease the week so").click()
    expect(laptop.get_by_text("A lighter week")).to_be_visible()
    kept = home.supper.tasks.filter(state=State.OPEN, closes__lte=home.day(6))
    assert [task.closes for task in kept] == [home.day(2)]


def test_a_member_sees_why_it_is_theirs(either: Page, home: Home, axe: Reader) -> None:
    task = home.task("Sweep the yard", 20, day=0)
    task.member = home.ben
    task.save()
    home.open(either, home.ben)
    expect(either.get_by_role("button", name="Share")).to_have_count(0)
    either.locator(f"#t-{task.pk}").click()
    expect(either.get_by_role("heading", name="Sweep the yard: why me?")).to_be_visible()
    expect(either.get_by_text("Everybody may do it.")).to_be_visible()
    axe(either)
    either.get_by_role("link", name="The task itself").click()
    either.get_by_role("link", name="Why me?").click()
    expect(either.get_by_role("heading", name="Sweep the yard: why me?")).to_be_visible()


def test_month_year_and_twelve_weeks_read_well(
    either: Page, home: Home, axe: Reader, fits: Reader
) -> None:
    for number in range(12):
        home.task(f"Paint wall {number}", 120, day=6)
    home.open(either, home.ana)
    expect(either.locator(".place")).to_contain_text(" week of ")
    either.get_by_role("link", name="Month").click()
    expect(either.get_by_text("Fuller than there is time").first).to_be_visible()
    axe(either)
    fits(either)
    either.get_by_role("link", name="Year").click()
    expect(either.get_by_text("Do the seldom chores collide?")).to_be_visible()
    axe(either)
    fits(either)
    either.goto(f"{home.server.url}/h/{home.household.pk}/week/ahead/")
    expect(either.get_by_role("heading", name="Will it fit?")).to_be_visible()
    expect(either.get_by_text("more than there is time for.").first).to_be_visible()
    axe(either)
    fits(either)


def test_an_early_warning_leads_to_the_weeks_ahead(either: Page, home: Home) -> None:
    for number in range(12):
        home.task(f"Paint wall {number}", 120, day=6)
    base = sign_in(either, home.server, home.ana)
    for path in ("/week/", "/overview/"):
        either.goto(f"{base}{path}")
        either.get_by_role("link", name="more than there is time for.").first.click()
        expect(either.get_by_role("heading", name="Will it fit?")).to_be_visible()


def test_a_better_plan_changes_the_page_in_place(laptop: Page, home: Home) -> None:
    """What is open stays open, what has the focus keeps it, and nothing scrolls."""
    home.open(laptop, home.ana)
    laptop.get_by_role("button", name="Share it out").click()
    expect(laptop.locator("#verdict")).to_contain_text("agreed share")
    plan = home.plan()
    plan.outcome = {**plan.outcome, "token": "gone", "words": "An older plan."}
    plan.save()
    laptop.reload()
    laptop.evaluate("scrollTo(0, 200)")
    laptop.get_by_text("Write it down").click()
    laptop.locator("#id_notes").fill("Half a sentence")
    scrolled = laptop.evaluate("scrollY")
    expect(laptop.locator("#verdict[hx-get]")).to_have_count(0)
    expect(laptop.locator("#id_notes")).to_be_focused()
    expect(laptop.locator("#id_notes")).to_have_value("Half a sentence")
    assert laptop.evaluate("scrollY") == scrolled
    laptop.locator("#id_notes").fill("")


def test_planning_works_without_script(without_script: Page, home: Home, fits: Reader) -> None:
    page = without_script
    home.open(page, home.ana)
    page.get_by_role("button", name="Share it out").click()
    expect(page.get_by_text("Shared out. Nothing is settled yet.")).to_be_visible()
    home.open(page, home.ana, f"?task={home.windows.pk}")
    page.get_by_label("Who?").select_option(label="Ben")
    page.get_by_role("button", name="Put it there").click()
    expect(page.get_by_text("is with Ben on")).to_be_visible()
    fits(page)
    page.get_by_role("button", name="Settle the week").click()
    expect(page.get_by_text("The week is settled")).to_be_visible()
    home.windows.refresh_from_db()
    assert home.windows.member == home.ben
