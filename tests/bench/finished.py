"""How near the camera comes from a cup's outline, over 50 random photos of our renderer.

python -m tests.bench.finished [COUNT]

Straight, tapered and free-profile cups by turns, with and without lids, in six paints, most with a
fade of glitter, before a wall on a table with a shadow; noise and JPEG at quality 85. The lens is
told as EXIF tells it, in whole mm; exactly, as of a lens that was measured; or not at all.
"""

import sys
from collections.abc import Callable

import numpy as np

from mockup.colorimetry.srgb import linear_from_rgb8
from mockup.errors import PhotoError
from mockup.photo.lens import Lens, lens_told, lens_unknown
from mockup.photo.stand import find_cup
from mockup.render.process import RenderProcess
from tests.photo.finished.scenes import Scene, equivalent_mm, random_scene

LENSES: dict[str, Callable[[float], Lens]] = {
    "EXIF, whole mm": lambda mm: lens_told(round(mm), ""),
    "known exactly": lambda mm: Lens(mm, 0.001, ""),
    "not told": lambda mm: lens_unknown(),
}


def errors_of(scene: Scene, lens: Lens) -> tuple[float, float, float, float, float] | None:
    """Distance in %, elevation and roll in degrees, the first two in σ; None if refused."""
    try:
        found = find_cup(linear_from_rgb8(scene.rgb8_srgb), scene.cup.blank, lens, where="photo")
    except PhotoError:
        return None
    far = found.pose.distance_mm / scene.pose.distance_mm - 1
    up = found.pose.elevation_rad - scene.pose.elevation_rad
    roll = found.pose.roll_rad - scene.pose.roll_rad
    return (
        100 * far, float(np.degrees(up)), float(np.degrees(roll)),
        far / found.distance_sigma, up / found.elevation_sigma_rad,
    )  # fmt: skip


def report(name: str, errors: list[tuple[float, float, float, float, float] | None]) -> None:
    """One line a quantity."""
    found = np.abs(np.array([e for e in errors if e is not None]))
    print(f"{name}: found {len(found)} of {len(errors)}")
    for nth, (what, limit) in enumerate((("distance %", 1), ("elevation °", 1), ("roll °", 1))):
        one = found[:, nth]
        print(
            f"  {what:12s} median {np.median(one):5.2f}  95th {np.quantile(one, 0.95):5.2f}"
            f"  most {one.max():5.2f}  within {limit}: {int((one <= limit).sum())}"
        )
    print(f"  errors over told σ, rms: {np.sqrt((found[:, 3:] ** 2).mean(axis=0)).round(2)}")


if __name__ == "__main__":
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 50
    with RenderProcess() as renderer:
        scenes = [random_scene(seed, renderer) for seed in range(count)]
    for name, lens in LENSES.items():
        report(name, [errors_of(s, lens(equivalent_mm(s.pose))) for s in scenes])
