"""How long a check of the demo takes, in a fresh process and by its parts.

python -m tests.bench.check

Wants a quiet machine; the gate is 20 s on two cores of software OpenGL.
"""

import importlib
import subprocess
import sys
import time
from collections import defaultdict
from collections.abc import Callable
from contextlib import ExitStack
from typing import Any
from unittest.mock import patch

from mockup.files import shipped

DEMO = shipped("textures", "regatta")
CHECK, CHECKING, LOOKING = (
    importlib.import_module(f"mockup.pipeline.{name}") for name in ("check", "checking", "looking")
)
PARTS = {
    CHECK: ("build_cup", "survey", "judge", "remedies", "check_cutting"),
    CHECKING: ("contrast_of",),
    LOOKING: ("look_at", "mask_of", "contrast_in"),
}


def program(*words: str) -> float:
    """Seconds of the program in a fresh process."""
    command = [sys.executable, "-c", "from mockup.faces.cli import main; main()", *words]
    start = time.perf_counter()
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
    return time.perf_counter() - start


def parts() -> dict[str, float]:
    """Seconds spent in each part, in this process; parts may hold one another."""
    spent: dict[str, float] = defaultdict(float)

    def timed(name: str, function: Callable[..., Any]) -> Callable[..., Any]:
        def call(*given: Any, **named: Any) -> Any:
            start = time.perf_counter()
            try:
                return function(*given, **named)
            finally:
                spent[name] += time.perf_counter() - start

        return call

    with ExitStack() as stack:
        for module, names in PARTS.items():
            for name in names:
                part = timed(name, getattr(module, name))
                stack.enter_context(patch.object(module, name, part))
        start = time.perf_counter()
        CHECK.check(DEMO)
        spent["all of it"] = time.perf_counter() - start
    return dict(spent)


if __name__ == "__main__":
    print(f"check, fresh   {program('check', str(DEMO)):6.1f} s")
    print(f"--quick, fresh {program('check', str(DEMO), '--quick'):6.1f} s")
    for name, seconds in parts().items():
        print(f"{name:14s} {seconds:6.1f} s")
