"""Agreed shares over a span: hand-counted cases and what must always hold."""

from hypothesis import given, settings
from hypothesis import strategies as st

from household.calc.ledger import Stake, Verdict, agreed_minutes, pulls, share_percent, verdict

STAKES = st.lists(
    st.builds(Stake, st.integers(0, 1000), st.integers(0, 84)), min_size=1, max_size=8
)


def test_shares_follow_the_weights():
    # Capacities 5, 10, 7, 4 of 13 hours are 2.5, 5, 3.5 and 2 hours. Source: E. Elkind,
    # A. Igarashi, N. Teh, arXiv:2410.23979, introduction (capacities); shares computed.
    stakes = [Stake(weight, 28) for weight in (5, 10, 7, 4)]
    assert agreed_minutes(13 * 60, stakes) == (150, 300, 210, 120)


def test_days_away_count_for_the_others():
    # Equal weights, one at home 14 days of 28: a third of the work, counted by hand.
    assert agreed_minutes(300, [Stake(10, 28), Stake(10, 14)]) == (200, 100)


def test_nobody_at_home_leaves_the_weights():
    assert pulls([Stake(3, 0), Stake(1, 0)]) == (3, 1)


def test_no_weights_make_all_alike():
    assert agreed_minutes(10, [Stake(0, 28), Stake(0, 7)]) == (5, 5)


def test_nobody_has_no_shares():
    assert agreed_minutes(0, []) == ()


@settings(max_examples=60)
@given(st.integers(0, 100_000), STAKES)
def test_agreed_minutes_sum_to_what_was_done(total: int, stakes: list[Stake]):
    agreed = agreed_minutes(total, stakes)
    assert sum(agreed) == total
    assert min(agreed) >= 0


@settings(max_examples=60)
@given(st.integers(0, 100_000), STAKES)
def test_who_agreed_to_nothing_is_asked_for_nothing(total: int, stakes: list[Stake]):
    if any(stake.weight and stake.days_home for stake in stakes):
        for stake, share in zip(stakes, agreed_minutes(total, stakes), strict=True):
            if not stake.weight or not stake.days_home:
                assert share == 0


def test_the_furthest_over_and_under_are_named():
    # 18 h 30 of 15 h and 13 h of 15 h: over by 3 h 30, under by 2 h.
    assert verdict([1110, 780, 330], [900, 900, 420]) == Verdict(0, 210, 1, 120)


def test_a_quarter_of_an_hour_decides():
    assert verdict([114, 86], [100, 100]) is None
    assert verdict([115, 85], [100, 100]) == Verdict(0, 15, 1, 15)


def test_a_little_under_is_not_named():
    assert verdict([120, 90, 90], [100, 100, 100]) == Verdict(0, 20, None, 0)


def test_nobody_gives_no_verdict():
    assert verdict([], []) is None


def test_percentages_are_rounded_with_halves_upwards():
    assert [share_percent(part, 200) for part in (0, 1, 140, 199, 200)] == [0, 1, 70, 100, 100]
    assert share_percent(0, 0) == 0
