"""Local search: moves and swaps accepted while they lose little, limited by a count of tries.

Everything is in whole numbers and from a seeded generator, and nothing looks at a clock, so the
answer is the same on every machine.
"""

from __future__ import annotations

from random import Random

from household.calc.sharing.table import Table


class State:
    """A plan with its loads kept up to date, so that a change costs little to weigh."""

    __slots__ = ("daily", "done", "plan", "shares", "table", "value")

    def __init__(self, table: Table, plan: list[int]) -> None:
        self.table = table
        self.plan = list(plan)
        self.done = [0] * len(table.members)
        self.daily = [[0] * len(days) for days in table.capacity]
        costs = 0
        for t, k in enumerate(plan):
            m, day, cost = table.options[t][k]
            self.done[m] += table.minutes[t]
            self.daily[m][day] += table.minutes[t]
            costs += cost
        beyond = sum(
            max(0, minutes - free)
            for row, frees in zip(self.daily, table.capacity, strict=True)
            for minutes, free in zip(row, frees, strict=True)
        )
        self.shares = self.weigh_shares()
        self.value = table.rates.overload * beyond + self.shares + costs

    def weigh_shares(self) -> int:
        """What the deviations from the agreed shares cost now."""
        rates = self.table.rates
        largest, total = rates.band, 0
        for done, target in zip(self.done, self.table.target, strict=True):
            off = done - target if done >= target else target - done
            total += off
            if off > largest:
                largest = off
        return rates.largest * largest + rates.total * max(total, rates.band * len(self.done))

    def put(self, t: int, k: int) -> None:
        """Move task `t` to its option `k`."""
        table = self.table
        minutes = table.minutes[t]
        m0, d0, cost0 = table.options[t][self.plan[t]]
        m1, d1, cost1 = table.options[t][k]
        self.plan[t] = k
        beyond = 0
        if m0 != m1 or d0 != d1:
            old, new = self.daily[m0], self.daily[m1]
            free = table.capacity[m0][d0]
            beyond -= max(0, old[d0] - free)
            old[d0] -= minutes
            beyond += max(0, old[d0] - free)
            free = table.capacity[m1][d1]
            beyond -= max(0, new[d1] - free)
            new[d1] += minutes
            beyond += max(0, new[d1] - free)
        change = table.rates.overload * beyond + cost1 - cost0
        if m0 != m1:
            self.done[m0] -= minutes
            self.done[m1] += minutes
            shares = self.weigh_shares()
            change += shares - self.shares
            self.shares = shares
        self.value += change


def improve(
    table: Table, plan: list[int], *, tries: int, seed: int = 1, warmth: int = 5
) -> tuple[list[int], int]:
    """A plan at least as good, with its weighted aim, after `tries` changes tried.

    Threshold accepting (G. Dueck, T. Scheuer, J. Comput. Phys. 90 (1990) 161-175): a change is
    kept while it loses less than a threshold that falls to nothing, from the price of `warmth`
    minutes of overload.
    """
    state = State(table, plan)
    best, best_value = list(state.plan), state.value
    movable = [t for t, options in enumerate(table.options) if len(options) > 1]
    if not movable:
        return best, best_value
    random = Random(seed)
    by_place = _by_place(table)
    top = warmth * table.rates.overload
    for i in range(tries):
        threshold = top * (tries - i) // tries * (tries - i) // tries
        before = state.value
        t = movable[int(random.random() * len(movable))]
        k0 = state.plan[t]
        options = table.options[t]
        k = int(random.random() * len(options))
        if k == k0:
            continue
        m0, m1 = options[k0].member, options[k].member
        state.put(t, k)
        other = k_other = -1
        if m0 != m1 and random.random() < 0.6:
            other = movable[int(random.random() * len(movable))]
            k_other = state.plan[other]
            if other != t and table.options[other][k_other].member == m1:
                d1 = table.options[other][k_other].day
                back = by_place[other].get((m0, d1))
                if back is None:
                    other = -1
                else:
                    state.put(other, back)
            else:
                other = -1
        if state.value - before > threshold:
            if other >= 0:
                state.put(other, k_other)
            state.put(t, k0)
        elif state.value < best_value:
            best, best_value = list(state.plan), state.value
    return best, best_value


def _by_place(table: Table) -> list[dict[tuple[int, int], int]]:
    return [
        {(option.member, option.day): k for k, option in enumerate(options)}
        for options in table.options
    ]
