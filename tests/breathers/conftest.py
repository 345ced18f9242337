"""Every test begins without kept texts of calendars."""

from __future__ import annotations

import pytest

from household.feeds import door_views, texts


@pytest.fixture(autouse=True)
def nothing_kept() -> None:
    texts.forget()
    door_views.forget()
