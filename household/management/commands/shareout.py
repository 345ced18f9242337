"""Share out a week read from a file: for bug reports and measurements."""

from __future__ import annotations

import json
import sys
from dataclasses import asdict
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from household.calc.sharing import PRESETS, BadProblem, Problem, Solution, from_json, share_out
from household.calc.sharing.bounds import alone
from household.calc.sharing.neutral import assignment_to_json


class Command(BaseCommand):
    """manage.py shareout FILE [--seconds N] [--rates even]"""

    help = (
        "Reads a week in the neutral JSON form and prints, as JSON, who does which task on which "
        "day, what the plan amounts to, and whether it is proven. '-' reads standard input."
    )
    requires_system_checks = ()

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", help="a JSON file, or - for standard input")
        parser.add_argument(
            "--seconds", type=float, default=10.0, help="time to search at most (default: 10)"
        )
        parser.add_argument(
            "--rates",
            choices=sorted(PRESETS),
            default="even",
            help="what weighs more: free time, shares, or both alike (default: even)",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        if not options["seconds"] > 0:
            raise CommandError("--seconds must be above 0", returncode=2)
        problem = read(options["file"])
        solution = share_out(problem, seconds=options["seconds"], rates=PRESETS[options["rates"]])
        self.stdout.write(json.dumps(written(problem, solution), indent=1, sort_keys=True))


def read(name: str) -> Problem:
    """The problem in a file; CommandError with exit code 2 if it cannot be read."""
    try:
        text = sys.stdin.read() if name == "-" else Path(name).read_text(encoding="utf-8")
        return from_json(json.loads(text))
    except OSError as error:
        raise CommandError(f"{name}: {error.strerror or error}", returncode=2) from error
    except UnicodeDecodeError as error:
        raise CommandError(f"{name}: is not text in UTF-8", returncode=2) from error
    except json.JSONDecodeError as error:
        raise CommandError(f"{name}: is not JSON: {error}", returncode=2) from error
    except BadProblem as error:
        raise CommandError(f"{name}: {error}", returncode=2) from error


def written(problem: Problem, solution: Solution) -> dict[str, Any]:
    """The solution in JSON, its parts under the names of the neutral form.

    `bounds` of a single aim is what it could be if it alone mattered, and `proven` says whether
    the plan reaches that; under "objective" both are about the weighted aim that was sought.
    """
    parts = asdict(solution.components)
    bounds = asdict(alone(problem)) | {"objective": solution.bound}
    proven = {name: parts[name] <= bounds[name] for name in parts}
    return {
        "id": problem.id,
        "assignment": assignment_to_json(solution.assignment),
        **parts,
        "objective": solution.value,
        "bound": solution.bound,
        "bounds": bounds,
        "proven": proven | {"objective": solution.proven},
        "proven_optimal": solution.proven,
        "gap": round(solution.gap, 6),
        "seconds": round(solution.seconds, 3),
        "limited_by": solution.limited_by,
        "wef1_violations": len(solution.envy),
        "unplaced": list(solution.unplaced),
    }
