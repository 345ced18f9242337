"""Who owes how much, and how even it is: exact arithmetic on whole minutes and fractions.

Weights are agreed shares (non-negative integers), balances are minutes done above the agreed
share so far, burdens are minutes as they feel to one person.

Sources: largest remainder is Hamilton's method of apportionment. Jain's index: R. Jain, D. Chiu,
W. Hawe, DEC-TR-301 (1984). Gini coefficient: mean absolute difference over twice the mean,
population form. Envy-freeness up to one chore: H. Aziz, I. Caragiannis, A. Igarashi, T. Walsh,
arXiv:1807.10684; with weights: M. Hajiaghayi, M. Springer, H. Yami, arXiv:2305.16081.
List scheduling and longest first: R. L. Graham, SIAM J. Appl. Math. 17 (1969) 416-429.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction


def round_to_sum(amounts: Sequence[Fraction], total: int) -> tuple[int, ...]:
    """Whole numbers near `amounts` that sum to `total`: largest remainder, ties to the first.

    `amounts` must sum to `total`; ValueError otherwise.
    """
    if sum(amounts, Fraction(0)) != total:
        raise ValueError("the amounts do not sum to the total")
    floors = [amount.numerator // amount.denominator for amount in amounts]
    order = sorted(range(len(amounts)), key=lambda i: (floors[i] - amounts[i], i))
    for i in order[: total - sum(floors)]:
        floors[i] += 1
    return tuple(floors)


def split_by_weight(total: Fraction | int, weights: Sequence[int]) -> tuple[Fraction, ...]:
    """`total` shared exactly in proportion to `weights`; ValueError if no weight is above 0."""
    whole = sum(weights)
    if whole <= 0 or min(weights) < 0:
        raise ValueError("at least one weight must be above 0, and none below")
    return tuple(Fraction(total) * weight / whole for weight in weights)


def targets(total: int, weights: Sequence[int], balances: Sequence[int]) -> tuple[int, ...]:
    """Whole minutes each member should do this week, summing to `total`.

    Each gets the weight's share of `total` plus all balances, less the own balance. Whoever is so
    far ahead that this falls below 0 gets 0, and the others share what is left the same way.
    """
    if total < 0 or len(weights) != len(balances):
        raise ValueError("the total must not be negative, and each weight needs a balance")
    split_by_weight(total, weights)
    taking = [i for i, weight in enumerate(weights) if weight > 0]
    while True:
        pool = total + sum(balances[i] for i in taking)
        whole = sum(weights[i] for i in taking)
        raw = {i: Fraction(pool * weights[i], whole) - balances[i] for i in taking}
        staying = [i for i in taking if raw[i] >= 0]
        if len(staying) == len(taking):
            break
        taking = staying
    return round_to_sum([raw.get(i, Fraction(0)) for i in range(len(weights))], total)


def carry(balance: int, done: int, share: int, limit: int) -> int:
    """The balance after a week: minutes done above the share are kept, up to `limit` either way.

    The limit keeps one odd week, or a long illness, from weighing on somebody for ever. `share`
    is the agreed share of the week's work, before any balance is taken off it (`split_by_weight`).
    """
    return max(-limit, min(limit, balance + done - share))


def jain_index(loads: Sequence[int | Fraction]) -> Fraction:
    """Jain's index (sum x)^2 / (n sum x^2): 1 is all equal, 1/n is one does all. 1 for no work."""
    squares = sum((Fraction(x) * Fraction(x) for x in loads), Fraction(0))
    if not squares:
        return Fraction(1)
    whole = sum((Fraction(x) for x in loads), Fraction(0))
    return whole * whole / (len(loads) * squares)


def gini(loads: Sequence[int | Fraction]) -> Fraction:
    """Gini coefficient, population form: 0 is all equal, (n-1)/n is one does all. 0 for no work."""
    whole = sum((Fraction(x) for x in loads), Fraction(0))
    if not whole:
        return Fraction(0)
    n = len(loads)
    ranked = sorted(Fraction(x) for x in loads)
    weighted = sum(((2 * i - n + 1) * x for i, x in enumerate(ranked)), Fraction(0))
    return weighted / (n * whole)


@dataclass(frozen=True, slots=True)
class Envy:
    """`by` would still rather have the chores of `of`, even without the own heaviest chore.

    `excess` is by how much, in burden times weight: compare sizes with it, nothing else.
    """

    by: int
    of: int
    excess: int


def weighted_envy(
    bundles: Sequence[Sequence[int]],
    burdens: Sequence[Sequence[int]],
    weights: Sequence[int],
    *,
    drop: int = 1,
) -> tuple[Envy, ...]:
    """Pairs that break weighted envy-freeness up to `drop` (0 or 1) chores; empty when it holds.

    `bundles[i]` are the chores of person i, `burdens[i][c]` is what chore c costs person i in any
    integer unit, the higher the heavier. Person i is content with j when
    (own burden less the heaviest own chore) / weight of i
    <= i's burden of j's chores / weight of j.
    """
    found = []
    for i, own in enumerate(bundles):
        mine = [burdens[i][c] for c in own]
        kept = sum(mine) - (max(mine, default=0) if drop else 0)
        for j, theirs in enumerate(bundles):
            excess = kept * weights[j] - sum(burdens[i][c] for c in theirs) * weights[i]
            if i != j and excess > 0:
                found.append(Envy(by=i, of=j, excess=excess))
    return tuple(found)


def is_prop1(bundles: Sequence[Sequence[int]], burdens: Sequence[Sequence[int]]) -> bool:
    """Proportional up to one chore: without the heaviest own chore nobody has above total/n."""
    for i, own in enumerate(bundles):
        mine = [burdens[i][c] for c in own]
        if (sum(mine) - max(mine, default=0)) * len(bundles) > sum(burdens[i]):
            return False
    return True


def round_robin(burdens: Sequence[Sequence[int]]) -> tuple[tuple[int, ...], ...]:
    """Chores picked in turns, lightest for oneself first: always fair up to one chore."""
    left = list(range(len(burdens[0])))
    bundles: list[list[int]] = [[] for _ in burdens]
    for turn in range(len(left)):
        person = turn % len(burdens)
        pick = min(left, key=burdens[person].__getitem__)
        bundles[person].append(pick)
        left.remove(pick)
    return tuple(tuple(bundle) for bundle in bundles)


def list_schedule(minutes: Sequence[int], people: int) -> tuple[int, ...]:
    """Loads when each chore goes, in the order given, to whoever has least so far."""
    loads = [0] * people
    for size in minutes:
        loads[loads.index(min(loads))] += size
    return tuple(loads)


def longest_first(minutes: Sequence[int], people: int) -> tuple[int, ...]:
    """Loads by Graham's rule: longest chore first, each to whoever has least so far."""
    return list_schedule(sorted(minutes, reverse=True), people)


def heaviest_load_bound(minutes: Sequence[int], people: int) -> int:
    """No split of these chores has a heaviest load below this."""
    if not minutes:
        return 0
    ranked = sorted(minutes, reverse=True)
    pair = ranked[people - 1] + ranked[people] if len(ranked) > people else 0
    return max(ranked[0], pair, -(-sum(ranked) // people))
