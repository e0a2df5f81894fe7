"""From a design file to a film of the cup going round once."""

from collections.abc import Iterator
from dataclasses import replace
from math import radians
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from mockup.outputs.turntable import Round, check_turntable, write_turntable
from mockup.pipeline.cup import Cup, Quiet, Shot, build_cup, opened, part, picture_request
from mockup.progress import Progress
from mockup.render.process import RenderProcess

__all__ = ["draw_round", "turntable"]


def turntable(
    path: Path,
    output: Path,
    *,
    frames: int = 48,
    seconds: float = 4.0,
    size_px: tuple[int, int] = (540, 720),
    elevation_deg: float = 10.0,
    samples: int | None = None,
    palette: str | None = None,
    light: str | None = None,
    progress: Progress = Quiet,
) -> None:
    """Read a design, draw it from all round and write the film.

    Stopped at any moment, by Ctrl-C or by an exception of `progress`, it leaves what was there.

    Parameters
    ----------
    output
        Its ending says what it becomes: .mp4, .webp, or none for a folder of PNG frames.
    samples
        Per pixel; None takes what `film_samples` says.
    """
    cup_round = Round(*size_px, frames, seconds)
    check_turntable(output, cup_round)
    design = opened(path, palette, light)
    with RenderProcess() as renderer:
        renderer.start()
        cup = build_cup(design, progress=part(progress, 0.0, 0.1))
        shot = Shot(
            *size_px,
            elevation_deg=elevation_deg,
            samples=samples or film_samples(size_px[1]),
        )
        name = light or design.document.light
        drawn = draw_round(
            cup, shot, cup_round, renderer, light=name, progress=part(progress, 0.1, 0.97)
        )
        write_turntable(drawn, output, cup_round)
    progress(1.0, "done")


def film_samples(height_px: int) -> int:
    """Samples a pixel: fewer than in a still, since a film shows each frame but a moment.

    They are whole fours, which the renderer draws side by side.
    """
    return 4 if height_px >= 1000 else 8


def draw_round(
    cup: Cup,
    shot: Shot,
    cup_round: Round,
    renderer: RenderProcess,
    *,
    light: str,
    progress: Progress = Quiet,
) -> Iterator[NDArray[np.uint8]]:
    """Draw the frames one after the other: mesh, maps, light and table are carried over once."""
    request = picture_request(cup, shot, light)
    for nth, turn_deg in enumerate(cup_round.turns_deg()):
        progress(nth / cup_round.count, f"drawing frame {nth + 1} of {cup_round.count}")
        turned = replace(request, turn_rad=radians(turn_deg))
        yield renderer.draw(cup.model, turned).rgba8_srgb
    progress(1.0, "writing the film")
