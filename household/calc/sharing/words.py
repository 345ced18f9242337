"""What the share-out found, in short plain English sentences.

Pages in other languages make their own sentences from the same parts (`explain`).
"""

from __future__ import annotations

from collections.abc import Mapping

from household.calc.sharing import aims
from household.calc.sharing.envied import Held, held
from household.calc.sharing.envy import SLACK_MINUTES
from household.calc.sharing.explain import Obstacle, Reason, TooMuch
from household.calc.sharing.problem import Problem
from household.calc.sharing.solve import Solution


def why_words(reason: Reason, names: Mapping[str, str]) -> str:
    """The reason in one or two short sentences; `names` by member id."""
    who = names[reason.place.member]
    if reason.because == "fixed":
        return f"This one is set aside for {who}."
    if reason.because == "only one who may":
        return f"Only {who} may do this one."
    other = reason.others[0]
    name = names[other.place.member]
    if reason.because == "free time":
        return (
            f"{name} could, but has {minutes(other.room)} left that day: "
            f"{minutes(other.overload)} would not fit."
        )
    if reason.because == "shares":
        return f"With {name}, the shares would be {minutes(other.unfairness)} further apart."
    if reason.because == "settled":
        return f"{who} had it in the settled plan, and a change would gain nothing."
    if reason.because == "comfort":
        return f"{name} could too. It suits {who} better."
    return f"{name} could do it just as well: swap if you both like."


def proof_words(
    problem: Problem,
    solution: Solution,
    names: Mapping[str, str],
    *,
    fairest: Solution | None = None,
) -> str:
    """How good the plan is, and how sure that is, in plain words.

    `fairest` is the plan that this one was made from by `lower_envy`, or this one.
    """
    if fairest is not None and fairest.assignment != solution.assignment and _known(fairest):
        # To the minute: what is known of the fairest split, and what `lower_envy` gave up of it.
        apart = SLACK_MINUTES if fairest.proven else SLACK_MINUTES + 1
        sure = (
            f"Within {minutes(apart)} of the fairest split: proved. This way there is less to envy."
        )
    else:
        sure = _sure(solution)
    return f"{sure} {_furthest(problem, solution, names)}"


def _sure(solution: Solution) -> str:
    if solution.limited_by == "no solver":
        return "A good split, not proven: this machine has no solver."
    if solution.proven:
        return "No split of these tasks is fairer: proved."
    if _known(solution):
        return "No split of these tasks is fairer by even a minute: proved."
    if solution.gap <= 0.1:
        return f"Within {_percent(solution.gap)} of the best possible."
    return "The best split found so far."


def _known(solution: Solution) -> bool:
    """Whether no split is fairer by a minute."""
    return solution.value - solution.bound < solution.rates.minute


def _furthest(problem: Problem, solution: Solution, names: Mapping[str, str]) -> str:
    done = aims.loads(problem, solution.assignment)
    off = {member.id: done[member.id] - member.target for member in problem.members}
    far = max(sorted(off), key=lambda id: abs(off[id]), default=None)
    if far is None or off[far] == 0:
        return "Everybody has exactly the agreed share."
    side = "over" if off[far] > 0 else "under"
    return f"The furthest from the agreed share is {names[far]}, {minutes(abs(off[far]))} {side}."


def _percent(part: float) -> str:
    # Rounded up: the words promise no more than the bound does.
    return "1 %" if part <= 0.01 else f"{-int(-part * 100 // 1)} %"


def minutes(count: int) -> str:
    """A count of minutes in words."""
    return "1 minute" if count == 1 else f"{count or 'no'} minutes"


def _listed(names: list[str]) -> str:
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)


def envy_words(problem: Problem, solution: Solution, names: Mapping[str, str]) -> str:
    """Whether anybody would rather have another's chores, even without the heaviest own one, and
    what stands in the way."""
    if not solution.envy:
        return "Nobody would rather have another’s list, give or take one chore: checked."
    worst = max(solution.envy, key=lambda pair: (pair.excess, -pair.by, -pair.of))
    why = held(problem, solution, worst)
    return f"{names[why.by]} may still find {names[why.of]}’s list lighter. {_kept(why, names)}"


def _kept(why: Held, names: Mapping[str, str]) -> str:
    by, of = names[why.by], names[why.of]
    limits = []
    if why.not_allowed:
        limits.append(f"{of} may not do {_some(why.not_allowed, why)}")
    if why.set_aside:
        are = "is" if len(why.set_aside) == 1 else "are"
        limits.append(f"{_some(why.set_aside, why)} {are} set aside for {by}")
    if why.away:
        come = "comes" if len(why.away) == 1 else "come"
        limits.append(f"{_some(why.away, why)} {come} while {of} is away")
    if limits:
        # The count of all is said once, with the first.
        return f"Of {by}’s {_tasks(len(why.tasks))}, {_listed(limits)}."
    if why.to_make_up and why.to_make_up >= why.ahead:
        return f"{by} has {minutes(why.to_make_up)} more this week, to make up for earlier ones."
    if why.ahead:
        return f"{of} has {minutes(why.ahead)} less this week, for work done in earlier ones."
    return "No way was found to even that out within the free time and the shares."


def _some(ids: tuple[str, ...], why: Held) -> str:
    return "all" if len(ids) == len(why.tasks) > 1 else str(len(ids))


def _tasks(count: int) -> str:
    return "1 task" if count == 1 else f"{count} tasks"


def obstacle_words(obstacle: Obstacle, names: Mapping[str, str], what: str) -> str:
    """What a hard limit costs; `what` names its tasks, for example "the ladder jobs"."""
    better = []
    if obstacle.overload > 0:
        better.append(f"at least {minutes(obstacle.overload)} more would fit the free time")
    if obstacle.unfairness > 0:
        better.append(f"the shares would be at least {minutes(obstacle.unfairness)} closer")
    if not better:
        better.append("the split would suit everybody a little better")
    gain = " and ".join(better)
    if obstacle.limit == "fixed":
        return f"Some tasks are set aside for one person; without that, {gain}."
    if obstacle.limit == "days":
        return f"Tasks have days they must be done on; if any day would do, {gain}."
    who = _listed([names[id] for id in obstacle.may])
    return f"Only {who} may do {what}; if everybody could, {gain}."


def too_much_words(much: TooMuch, names: Mapping[str, str], day: str, task: str | None) -> str:
    """What does not fit a day and the ways out; `task` is the title of `much.leave_out`."""
    ways = [f"{minutes(much.minutes)} more that day"]
    if much.elsewhere:
        ways.append("another day for a task")
    if task is not None:
        ways.append(f"leaving out {task}")
    out = ", or ".join(ways)
    return (
        f"{names[much.member]} has {minutes(much.minutes)} too many on {day}. It fits with {out}."
    )
