"""Make Evenhouse's own environment in .venv: standard library only, run before anything else.

    python3 -m household.install          what running needs
    python3 -m household.install --dev    and what the tests and checks need

Versions and hashes come from .requirements.lock, so every machine gets the same files.
"""

from __future__ import annotations

import argparse
import os
import re
import subprocess
import sys
import venv
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
ENVIRONMENT = ROOT / ".venv"
LOCK = ROOT / ".requirements.lock"
TOOLS_BEGIN = "# Below this line: only for tests and checks.\n"
NO_VENV = """\
This Python cannot make environments: Debian keeps that in a package of its own.
Install it and run the command again:
    sudo apt-get install python3-venv"""


def main() -> int:
    parser = argparse.ArgumentParser(prog="python3 -m household.install", description=__doc__)
    parser.add_argument("--dev", action="store_true", help="also what tests and checks need")
    parser.add_argument("--lock", action="store_true", help="work out all versions anew first")
    options = parser.parse_args()
    if sys.version_info < (3, 11):  # noqa: UP036  people run this with what they have
        print(f"Evenhouse needs Python 3.11 or newer; this is {sys.version}", file=sys.stderr)
        return 1
    try:
        make_environment()
        if options.lock:
            write_lock()
        install(locked(dev=options.dev))
    except MissingPiece as missing:
        print(missing, file=sys.stderr)
        return 1
    return 0


class MissingPiece(Exception):
    """Something the machine lacks; the message names the cure."""


def python() -> Path:
    folder = "Scripts" if os.name == "nt" else "bin"
    return ENVIRONMENT / folder / "python"


def make_environment() -> None:
    """Create .venv with pip in it, unless a working one stands there already."""
    if python().exists() and _runs(python(), "-m", "pip", "--version"):
        return
    try:
        import ensurepip  # noqa: F401  Debian leaves it out of the bare python3 package
    except ImportError:
        raise MissingPiece(NO_VENV) from None
    print(f"Making an environment in {ENVIRONMENT.name} ...", flush=True)
    try:
        venv.create(ENVIRONMENT, with_pip=True, clear=True)
    except (subprocess.CalledProcessError, OSError) as error:
        raise MissingPiece(f"The environment could not be made: {error}\n\n{NO_VENV}") from None


def locked(*, dev: bool) -> str:
    """The lock's text: all of it, or the part above the line where the tools begin."""
    text = LOCK.read_text(encoding="utf-8")
    return text if dev else text.split(TOOLS_BEGIN)[0]


def install(requirements: str) -> None:
    stamp = ENVIRONMENT / "installed.txt"
    if stamp.exists() and stamp.read_text(encoding="utf-8").startswith(requirements):
        return
    listed = ENVIRONMENT / "requirements.txt"
    listed.write_text(requirements, encoding="utf-8")
    print("Installing the libraries ...", flush=True)
    command = [str(python()), "-m", "pip", "install", "--quiet", "--disable-pip-version-check"]
    command += ["--require-hashes", "--only-binary=:all:", "-r", str(listed)]
    if subprocess.run(command, check=False).returncode != 0:
        raise MissingPiece(
            "The libraries could not be installed; pip's own words stand above.\n"
            "Most often the network is away: run the same command again when it is back."
        )
    stamp.write_text(requirements, encoding="utf-8")


def write_lock() -> None:
    """Work out all versions anew from pyproject.toml, with uv (a tool of the dev group)."""
    running = _compile()
    everything = _compile("--group", "dev")
    tools = [block for block in _blocks(everything) if block not in _blocks(running)]
    LOCK.write_text(running + TOOLS_BEGIN + "".join(tools), encoding="utf-8")


def _compile(*more: str) -> str:
    command = [
        str(python()),
        "-m",
        "uv",
        "pip",
        "compile",
        "pyproject.toml",
        "--quiet",
        "--universal",
    ]
    command += ["--generate-hashes", "--no-annotate", "--no-header", "--no-emit-index-url", *more]
    run = subprocess.run(command, cwd=ROOT, check=True, capture_output=True, text=True)
    return run.stdout


def _blocks(text: str) -> list[str]:
    """One block a package: its pin and the hashes indented under it."""
    return re.findall(r"^\S.*\n(?:[ ]+.*\n)*", text, flags=re.MULTILINE)


def _runs(*command: str | Path) -> bool:
    run = subprocess.run([str(part) for part in command], check=False, capture_output=True)
    return run.returncode == 0


if __name__ == "__main__":
    sys.exit(main())
