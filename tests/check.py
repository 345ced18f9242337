"""All checks but the tests, one after the other: .venv/bin/python -m tests.check

Formatting, lint, types, the direction of imports, migrations, templates, deployment settings.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
BIN = Path(sys.executable).parent
CHECKS = {
    "formatting": [BIN / "ruff", "format", "--check", "."],
    "lint": [BIN / "ruff", "check", "."],
    "types": [BIN / "mypy"],
    "imports": [BIN / "lint-imports"],
    "migrations": [sys.executable, "manage.py", "makemigrations", "--check", "--dry-run"],
    "settings": [sys.executable, "manage.py", "check", "--deploy", "--fail-level", "WARNING"],
    "templates": [BIN / "djlint", "templates", "--lint", "--quiet"],
}


def main() -> int:
    failed = []
    with tempfile.TemporaryDirectory() as folder:
        environment = {
            **os.environ,
            "HOUSEHOLD_DATA_DIR": folder,
            "HOUSEHOLD_BASE_URL": "https://home.example.org",
        }
        for name, command in CHECKS.items():
            print(f"== {name}", flush=True)
            run = subprocess.run(list(map(str, command)), cwd=ROOT, env=environment, check=False)
            if run.returncode:
                failed.append(name)
    print(f"failed: {', '.join(failed)}" if failed else "all checks passed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
