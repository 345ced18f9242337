"""Reads HOUSEHOLD_* variables. A bad value stops the start and names its variable.

Each variable may also be given as NAME_FILE, a path to a file that holds the value, as
container platforms hand over secrets.
"""

from __future__ import annotations

import os
import secrets
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TypeVar

PREFIX = "HOUSEHOLD_"
T = TypeVar("T")


class BadSetting(Exception):
    """A HOUSEHOLD_* variable that cannot be used; the message names it and says what to do."""


class Environment:
    """Typed reading of one mapping of variables (os.environ unless told otherwise)."""

    def __init__(self, variables: Mapping[str, str] | None = None) -> None:
        self._variables = os.environ if variables is None else variables

    def text(self, name: str, default: str = "") -> str:
        return self._read(name, default, lambda value: value, "")

    def flag(self, name: str, *, default: bool) -> bool:
        return self._read(name, default, _flag, "Write 1 for yes or 0 for no.")

    def number(self, name: str, default: int, *, lowest: int, highest: int) -> int:
        def convert(value: str) -> int:
            number = int(value)
            if not lowest <= number <= highest:
                raise ValueError
            return number

        return self._read(name, default, convert, f"Write a number from {lowest} to {highest}.")

    def words(self, name: str) -> list[str]:
        """A comma-separated list."""
        return [word.strip() for word in self.text(name).split(",") if word.strip()]

    def folder(self, name: str, default: Path) -> Path:
        """A folder that exists afterwards and can be written to."""
        folder = Path(self.text(name, str(default))).expanduser().resolve()
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise BadSetting(
                f"{PREFIX}{name} is {folder}, which cannot be made: {error}."
            ) from None
        if not os.access(folder, os.W_OK):
            raise BadSetting(
                f"{PREFIX}{name} is {folder}, which this user may not write to. "
                "Change its owner, or name another folder."
            )
        return folder

    def _read(self, name: str, default: T, convert: Callable[[str], T], advice: str) -> T:
        full = PREFIX + name
        value = self._variables.get(full)
        file = self._variables.get(f"{full}_FILE")
        if value is not None and file is not None:
            raise BadSetting(f"Both {full} and {full}_FILE are set. Keep one of them.")
        if file is not None:
            full = f"{full}_FILE"
            value = _read_file(full, file)
        if value is None or value == "":
            return default
        try:
            return convert(value)
        except ValueError:
            raise BadSetting(f"{full} is {value!r}, which cannot be used. {advice}") from None


def kept_secret(folder: Path) -> str:
    """The secret key: made once, kept in the data folder, readable by its owner only."""
    path = folder / "secret_key"
    try:
        descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        return path.read_text(encoding="ascii")
    key = secrets.token_urlsafe(50)
    with os.fdopen(descriptor, "w", encoding="ascii") as file:
        file.write(key)
    return key


def _flag(value: str) -> bool:
    try:
        return {"1": True, "yes": True, "true": True, "0": False, "no": False, "false": False}[
            value.strip().lower()
        ]
    except KeyError:
        raise ValueError(value) from None


def _read_file(name: str, file: str) -> str:
    try:
        return Path(file).read_text(encoding="utf-8").rstrip("\n")
    except OSError as error:
        raise BadSetting(f"{name} is {file!r}, which cannot be read: {error}.") from None
