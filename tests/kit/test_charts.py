"""Bars and lines of a chart, as parts of its width."""

from hypothesis import given
from hypothesis import strategies as st

from household.kit.charts import STEPS, Amount, bar_chart, grid_step


def amount(done: int, agreed: int, kept: int = 0, kept_agreed: int = 0) -> Amount:
    return Amount("Bea", "half", "plum", done, agreed, kept, kept_agreed)


def part(text: str) -> float:
    return float(text.removesuffix("%"))


def test_a_chart_of_hours_has_lines_at_whole_hours() -> None:
    chart = bar_chart([amount(1110, 900), amount(780, 900)])
    assert chart.unit == "hours"
    assert [line.words for line in chart.grid] == ["5", "10", "15"]
    assert chart.bars[0].over_words.startswith("+")
    assert chart.bars[1].over_words.startswith("−")


def test_a_short_day_is_counted_in_minutes() -> None:
    chart = bar_chart([amount(40, 60)])
    assert chart.unit == "minutes"
    assert [line.words for line in chart.grid] == ["15", "30", "45", "60"]


def test_nobody_did_anything_and_nothing_was_agreed() -> None:
    chart = bar_chart([amount(0, 0)])
    assert chart.bars[0].width == "0%"
    assert bar_chart([]).bars == ()


MINUTES = st.integers(min_value=0, max_value=60_000)


@given(st.lists(st.tuples(MINUTES, MINUTES, MINUTES, MINUTES), min_size=1, max_size=8))
def test_nothing_leaves_the_picture_and_done_and_kept_share_one_scale(
    rows: list[tuple[int, int, int, int]],
) -> None:
    chart = bar_chart([amount(*row) for row in rows], kept=True)
    kept_from = part(chart.kept_from)
    for (done, _, kept, _), bar in zip(rows, chart.bars, strict=True):
        assert part(bar.width) <= kept_from
        assert part(bar.agreed_at) <= kept_from
        assert kept_from + part(bar.kept_width) <= 100.1
        assert kept_from - 0.1 <= part(bar.kept_agreed_at) <= 100.1
        if done == kept:
            assert bar.width == bar.kept_width
    assert all(part(line.at) <= kept_from for line in chart.grid)


@given(st.integers(min_value=1, max_value=STEPS[-1] * 5))
def test_grid_lines_are_few(longest: int) -> None:
    assert longest <= grid_step(longest) * 5
