"""How long a turntable takes, part by part, and how its glitter moves.

python -m tests.bench.turntable [FRAMES]

The parts are timed one after the other, each alone, so that they add up; the command lets the
render process warm up while the skin is compiled and encodes while it draws.
"""

import subprocess
import sys
import tempfile
import time
from dataclasses import replace
from math import radians
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from mockup import pipeline
from mockup.colorimetry.srgb import linear_from_rgb8
from mockup.design.read import read_design
from mockup.files import shipped
from mockup.outputs.turntable import Round, write_turntable
from mockup.pipeline.turntable import film_samples
from mockup.render.process import RenderProcess

DEMO = shipped("textures", "regatta")
SIZE = (540, 720)
LUMA = (0.2126, 0.7152, 0.0722)  # luminance of linear sRGB


def twinkle(frames: NDArray[np.uint8], *, least: float = 0.35) -> dict[str, float]:
    """Frame-to-frame statistic of sparkle.

    A glint is a pixel that stands out of its frame: its linear luminance exceeds the mean of the
    pixels 3 apart on its four sides by `least` of white.

    Parameters
    ----------
    frames : (n, rows, columns, 3) uint8, sRGB
        Of a patch of glitter, in the order in which they are shown.

    Returns
    -------
    lit : mean share of pixels that are glints
    kept : of the glints of a frame, the mean share that are glints in the next one too; where
        glints come and go by chance alone it equals `lit`
    change : mean absolute difference of luminance between a frame and the next, over the mean
        luminance
    """
    light = linear_from_rgb8(frames) @ np.asarray(LUMA, np.float32)
    padded = np.pad(light, ((0, 0), (3, 3), (3, 3)), mode="edge")
    around = (
        padded[:, :-6, 3:-3] + padded[:, 6:, 3:-3] + padded[:, 3:-3, :-6] + padded[:, 3:-3, 6:]
    ) / 4
    glint = light - around > least
    both, before = (glint[:-1] & glint[1:]).sum(), glint[:-1].sum()
    return {
        "lit": float(glint.mean()),
        "kept": float(both / before) if before else 0.0,
        "change": float(np.abs(np.diff(light, axis=0)).mean() / light.mean()),
    }


def main() -> None:
    """Print the parts, the command's own time, and the statistic at three speeds."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 48
    cup_round = Round(*SIZE, count, 4.0)
    lap = time.perf_counter()

    def told(what: str) -> None:
        nonlocal lap
        now = time.perf_counter()
        print(f"{what}: {now - lap:.2f} s", flush=True)
        lap = now

    cup = pipeline.build_cup(read_design(DEMO))
    told("reading the design and compiling its skin")
    shot = pipeline.Shot(*SIZE, samples=film_samples(SIZE[1]))
    request = pipeline.picture_request(cup, shot, "softbox")
    told("table of materials")
    with RenderProcess() as renderer:
        renderer.draw(cup.model, request)
        told("render process from its start to the first frame")
        frames = [
            renderer.draw(cup.model, replace(request, turn_rad=radians(turn_deg))).rgba8_srgb
            for turn_deg in cup_round.turns_deg()
        ]
        per_frame_s = (time.perf_counter() - lap) / count
        told(f"{count} frames, {per_frame_s:.2f} s each")
        with tempfile.TemporaryDirectory() as folder:
            for name in ("cup.mp4", "cup.webp", "round"):
                write_turntable(iter(frames), Path(folder, name), cup_round)
                told(f"writing {name}")
        for step_deg in (0.5, 2.0, 7.5):
            turned = [replace(request, turn_rad=radians(step_deg * i)) for i in range(6)]
            patch = [renderer.draw(cup.model, one).rgba8_srgb[480:600, 230:310] for one in turned]
            shown = ", ".join(f"{k} {v:.3f}" for k, v in twinkle(np.stack(patch)).items())
            print(f"twinkle at {step_deg} degrees a frame: {shown}", flush=True)
    lap = time.perf_counter()
    with tempfile.TemporaryDirectory() as folder:
        program = Path(sys.executable).with_name("tumbler-mockup")
        words = ("turntable", DEMO, "-o", f"{folder}/cup.mp4", "--frames", str(count))
        subprocess.run([program, *words], check=True, stdout=subprocess.DEVNULL)
    told("the command, from start to film")


if __name__ == "__main__":
    main()
