"""A task's row as HTML.

Written here and not as a template, because no page is made more often than Today and thirty rows
of fifty variables each cost as much there as everything else together. Every value that a person
could have typed goes through `escape`.
"""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING, Final

from django.utils.safestring import SafeString

if TYPE_CHECKING:
    from household.chores.rows import TaskRow

# The address stands once: htmx is told it by static/js/ticking.js.
SENDS: Final = 'form="ticks" formaction="{}" hx-post="" hx-target="closest li" hx-swap="outerHTML"'
BEWARE: Final = (
    '<svg viewBox="0 0 24 24" aria-hidden="true"><path d="M12 2 23.5 22H.5z"/>'
    '<path class="bang" d="M10.8 9h2.4l-.4 6.5h-1.6zM10.8 17h2.4v2.4h-2.4z"/></svg>'
)


def row_html(row: TaskRow) -> SafeString:
    """The `li` of Today's list: minutes, what, the one thing to do, and what to beware of."""
    name, late = escape(row.name), " late" if row.late_days else ""
    does = _undo(row, name) if row.state != "open" else _tick(row, name, row.url, "false")
    if row.is_pool:
        does = _button("take", row, name, "Take")
    return SafeString(
        f'<li class="row{late} {row.state}" id="task-{row.id}">'
        f'<span class="min">{row.minutes}<span class="vh"> minutes</span></span>'
        f'<div class="what"><a href="{row.url}">{name}</a><p class="sub">{_sub(row)}</p></div>'
        f'<div class="do">{does}</div>{_caution(row)}{_took(row)}</li>'
    )


def _sub(row: TaskRow) -> str:
    """The grey line: where and by when, how late, or how it ended."""
    if row.state == "done":
        return escape(row.done_words)
    if row.state == "skipped":
        return escape(f"Skipped: {row.reason}" if row.reason else "Skipped")
    if row.state != "open":
        return "Let go"
    if row.late_days:
        days = "day" if row.late_days == 1 else "days"
        return f"<b>{row.late_days} {days}</b>, since {escape(row.since)}"
    due = "" if row.mine else row.due_words
    return escape(", ".join(filter(None, (row.area, row.level, row.time_words, due))))


def _tick(row: TaskRow, name: str, url: str, checked: str) -> str:
    sends = SENDS.format(f"{url}{'undo' if checked == 'true' else 'tick'}/")
    return (
        f'<button class="tick {row.hue}" {sends} role="checkbox" '
        f'aria-checked="{checked}" aria-label="{name}, done">'
        f'<svg viewBox="0 0 24 24" aria-hidden="true"><use href="#{row.shape}"/>'
        f'<use class="yes" href="#yes-{row.shape}"/></svg></button>'
    )


def _undo(row: TaskRow, name: str) -> str:
    back = _button("undo", row, name, "Undo")
    return back + _tick(row, name, row.url, "true") if row.state == "done" else back


def _button(does: str, row: TaskRow, name: str, words: str) -> str:
    sends = SENDS.format(f"{row.url}{does}/")
    return f'<button class="{does}" {sends}>{words}<span class="vh">: {name}</span></button>'


def _caution(row: TaskRow) -> str:
    if not row.caution_first or row.state != "open":
        return ""
    first, rest = escape(row.caution_first), escape(row.caution_rest)
    return f'<p class="caution under">{BEWARE}<span><b>{first}</b> {rest}</span></p>'


def _took(row: TaskRow) -> str:
    """Just ticked: did it take longer or shorter than planned?"""
    if not row.just_ticked or row.state != "done":
        return ""
    ways = "".join(
        f'<button class="act" {SENDS.format(f"{row.url}{does}/")}>{words}</button>'
        for does, words in (("longer", "Longer"), ("shorter", "Shorter"))
    )
    return f'<p class="took under"><span>Took {row.minutes} min?</span>{ways}</p>'
