"""The one-time code: kept only as a hash, for its owner only, until it is used."""

from __future__ import annotations

import io
import stat
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from household.management.commands.serve import Command as Serve
from household.start import code
from tests.factories import make_household


def test_only_a_hash_is_kept_and_only_its_owner_reads_it(settings: Any) -> None:
    made = code.new_code()
    path = Path(settings.DATA_DIR) / "setup_code"
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    text = path.read_text(encoding="ascii")
    assert made not in text
    assert made.replace("-", "") not in text


def test_it_fits_however_it_is_typed_until_it_is_used() -> None:
    made = code.new_code()
    assert code.fits(made)
    assert code.fits(f" {made.lower().replace('-', ' ')} ")
    assert not code.fits("")
    assert not code.fits(made[:-1])
    code.use_up()
    assert not code.fits(made)
    code.use_up()


def test_a_new_code_ends_the_old_one() -> None:
    old, new = code.new_code(), code.new_code()
    assert old != new
    assert code.fits(new)
    assert not code.fits(old)


@pytest.mark.django_db
def test_the_command_prints_one_that_fits() -> None:
    out = io.StringIO()
    call_command("setup_code", stdout=out)
    assert code.fits(out.getvalue())


@pytest.mark.django_db
def test_the_command_refuses_once_there_is_a_household() -> None:
    make_household()
    with pytest.raises(CommandError, match="There is a household already"):
        call_command("setup_code")
    assert not code.is_kept()


@pytest.mark.django_db
def test_serve_prints_it_once_and_it_survives_a_restart() -> None:
    first, second, third = io.StringIO(), io.StringIO(), io.StringIO()
    Serve(stdout=first)._say_where()
    printed = first.getvalue().partition("type this code: ")[2].split()[0]
    assert code.fits(printed)
    Serve(stdout=second)._say_where()
    assert "still works" in second.getvalue()
    assert code.fits(printed)
    make_household()
    Serve(stdout=third)._say_where()
    assert "code" not in third.getvalue()
