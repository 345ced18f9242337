"""A first plan at once: hardest tasks first, each where it hurts least so far."""

from __future__ import annotations

from household.calc.sharing.table import Table


def greedy(table: Table, *, keep_settled: bool) -> list[int]:
    """A plan (one option for each task); with `keep_settled` the settled places are kept."""
    people = range(len(table.members))
    room = [list(days) for days in table.capacity]
    short = list(table.target)
    plan = [0] * len(table.ids)
    rates = table.rates
    order = sorted(
        range(len(plan)),
        key=lambda t: (
            table.settled[t] is None or not keep_settled,
            len({option.member for option in table.options[t]}),
            -table.minutes[t],
            len(table.options[t]),
            t,
        ),
    )
    for t in order:
        minutes = table.minutes[t]
        settled = table.settled[t]
        if keep_settled and settled is not None:
            best = settled
        else:
            # The share is weighed by how far along each person is: without it the first tasks
            # all go to the person of the smallest cost, and the last find no room anywhere.
            lead = max(short[m] for m in people)

            def hurt(k: int, t: int = t, minutes: int = minutes, lead: int = lead) -> int:
                m, day, cost = table.options[t][k]
                over = max(0, minutes - max(0, room[m][day]))
                above = max(0, minutes - max(0, short[m]))
                behind = lead - short[m]
                per_share = rates.largest + rates.total
                return rates.overload * over + per_share * above + per_share * behind // 8 + cost

            best = min(range(len(table.options[t])), key=hurt)
        m, day, _ = table.options[t][best]
        room[m][day] -= minutes
        short[m] -= minutes
        plan[t] = best
    return plan
