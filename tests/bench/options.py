"""How long options take, by their parts, beside a `render` from cold.

python -m tests.bench.options [PALETTES]

Wants a quiet machine; the gate is 20 s for six palettes at 600 × 800 on two cores of software
OpenGL, and for each palette a quarter of what `render` takes from cold at that size.
"""

import importlib
import subprocess
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Callable
from contextlib import ExitStack
from pathlib import Path
from typing import Any
from unittest.mock import patch

from mockup.files import shipped

DEMO = shipped("textures", "regatta")
SIX = ("deep-water", "harbour-dawn", "lifebuoy", "sea-thrift", "abalone", "winter-ivory")
OPTIONS, COMPARE = (
    importlib.import_module(f"mockup.pipeline.{name}") for name in ("options", "compare")
)
PARTS = {
    OPTIONS: ("build_cup", "survey", "options_facts", "draw_options", "write_picture"),
    COMPARE: ("_drawn", "judge", "closest_pair", "_price"),
}


def program(*words: str) -> float:
    """Seconds of the program in a fresh process."""
    file = Path(sys.executable).with_name("tumbler-mockup")
    start = time.perf_counter()
    subprocess.run([file, *words], check=True, stdout=subprocess.DEVNULL)
    return time.perf_counter() - start


def parts(folder: Path, palettes: tuple[str, ...]) -> dict[str, float]:
    """Seconds spent in each part, in this process; `start` is the renderer's start and rest."""
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
                timed_part = timed(name, getattr(module, name))
                stack.enter_context(patch.object(module, name, timed_part))
        start = time.perf_counter()
        OPTIONS.options(DEMO, folder / "parts.png", palettes=palettes)
        whole = time.perf_counter() - start
    spent["other"] = whole - sum(spent.values())
    spent["whole"] = whole
    return dict(spent)


def main() -> None:
    """Print a cold render, options as a command for one palette and for all, and the parts."""
    palettes = tuple(sys.argv[1:]) or SIX
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        render = program("render", str(DEMO), "-o", f"{folder}/cup.png", "--size", "600x800")
        chosen = [word for palette in palettes for word in ("--palette", palette)]
        one = program("options", str(DEMO), "-o", f"{folder}/one.png", *chosen[:2])
        several = program("options", str(DEMO), "-o", f"{folder}/all.png", *chosen)
        spent = parts(folder, palettes)
    more = (several - one) / max(len(palettes) - 1, 1)
    print(f"render, cold           {render:6.2f} s")
    print(f"options, one palette   {one:6.2f} s")
    print(f"options, {len(palettes):2d} palettes   {several:6.2f} s")
    print(f"each further palette   {more:6.2f} s, {more / render:.2f} of a cold render")
    print("\nwithin one process:")
    for part, seconds in sorted(spent.items(), key=lambda entry: entry[1]):
        print(f"  {part:15} {seconds:6.2f} s")


if __name__ == "__main__":
    main()
