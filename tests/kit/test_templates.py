"""Promises that the templates and style sheets make as a whole."""

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent.parent
TEMPLATES = sorted((ROOT / "templates").rglob("*.html"))


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: str(path.relative_to(ROOT)))
def test_nothing_inline_stands_against_the_content_policy(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert not re.search(r"<style|\sstyle=|\son[a-z]+=|javascript:|hx-on|hx-vals", text)
    assert not re.search(r"<script(?![^>]*\ssrc=)", text)


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: str(path.relative_to(ROOT)))
def test_every_form_that_posts_carries_its_token(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    for form in re.findall(r"<form[^>]*method=\"post\".*?</form>", text, flags=re.DOTALL):
        assert "{% csrf_token %}" in form, form[:80]


def channel(value: int) -> float:
    share = value / 255
    return share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4


def luminance(colour: str) -> float:
    red, green, blue = (int(colour[at : at + 2], 16) for at in (1, 3, 5))
    return 0.2126 * channel(red) + 0.7152 * channel(green) + 0.0722 * channel(blue)


def contrast(one: str, other: str) -> float:
    """WCAG 2.2, relative luminance and contrast ratio."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def test_contrast_is_worked_out_as_published() -> None:
    # WCAG 2.2's formula: #767676 on white passes 4.5:1 for text, #777777 does not.
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.542, abs=0.001)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.478, abs=0.001)


def tokens(theme: str) -> dict[str, str]:
    text = (ROOT / "static/css/tokens.css").read_text(encoding="utf-8")
    light, _, rest = text.partition(":root[data-theme=dark]")
    dark = rest.partition("@media")[0]
    found = dict(re.findall(r"--([a-z0-9-]+): (#[0-9A-F]{6})", light))
    return found | dict(
        re.findall(r"--([a-z0-9-]+): (#[0-9A-F]{6})", dark if theme == "dark" else "")
    )


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_colours_can_be_read_and_seen(theme: str) -> None:
    """WCAG 2.2: text 4.5:1 (1.4.3), controls and marks 3:1 (1.4.11)."""
    colours = tokens(theme)
    for name in ("ink", "ink-2", "blue", "brick", "green", "violet", "teal", "plum"):
        assert contrast(colours[name], colours["paper"]) >= 4.5, name
    assert contrast(colours["ink-2"], colours["wash"]) >= 4.5
    assert contrast(colours["on-point"], colours["point"]) >= 4.5
    assert contrast(colours["control"], colours["paper"]) >= 3


def test_the_two_ways_into_the_dark_are_the_same() -> None:
    text = (ROOT / "static/css/tokens.css").read_text(encoding="utf-8")
    chosen = text.partition(":root[data-theme=dark] {")[2].partition("}")[0]
    preferred = text.partition(":root:not([data-theme=light]) {")[2].partition("}")[0]
    assert chosen.split() == preferred.split()
