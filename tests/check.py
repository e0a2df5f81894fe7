"""The one command before every commit: style, types, layers, tests.

Run as ``python tests/check.py``; what follows goes to pytest, such as ``-k seam``. It stops at the
first step that fails and ends with that step's exit code. CI runs just this.
"""

import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
# a file's tests stay together, for its fixtures; files in their own order, as the few long tests of
# the browser would else come last
WORKERS = ["-n", "auto", "--maxprocesses", "4", "--dist", "loadfile", "--no-loadscope-reorder"]
BESIDE = Path(sys.executable).parent  # the environment's own programs, whatever PATH says


def steps(words: list[str]) -> list[list[str]]:
    """Every step's command, quickest first; `words` go to pytest."""
    python = [sys.executable, "-m"]
    return [
        [*python, "ruff", "format", "--check", "."],
        [*python, "ruff", "check", "."],
        [*python, "mypy"],
        [str(BESIDE / "lint-imports")],
        [*python, "pytest", "-q", *WORKERS, *words],
    ]


def run(commands: list[list[str]]) -> int:
    """Run commands in turn at the top of the checkout until one fails; give its exit code.

    A step's seconds are told when the next one begins, so that pytest's summary is the last line.
    """
    for command in commands:
        name = " ".join([Path(command[0]).name, *command[1:]]).removeprefix("python -m ")
        print(f"── {name}", flush=True)
        start_s = time.monotonic()
        code = subprocess.run(command, cwd=ROOT, check=False).returncode
        if code:
            print(f"── failed with {code}: {name}", file=sys.stderr, flush=True)
            return code
        if command is not commands[-1]:
            print(f"   {time.monotonic() - start_s:.1f} s", flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(run(steps(sys.argv[1:])))
