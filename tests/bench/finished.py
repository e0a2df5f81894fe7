"""How near camera and lettering come from a photo, over 50 random ones of our renderer.

python -m tests.bench.finished [COUNT]

Straight, tapered and free-profile cups by turns, with and without lids, in six paints, most with a
fade of glitter, before a wall on a table with a shadow; noise and JPEG at quality 85, as large as
photos are held. The lens is told exactly, as of one that was measured; as EXIF tells it, in whole
mm, which alone is up to 2 % of a phone's distance; or not at all.
"""

import sys
from collections.abc import Callable

import numpy as np

from mockup.colorimetry.srgb import linear_from_rgb8
from mockup.errors import PhotoError
from mockup.photo.lens import Lens, lens_told, lens_unknown
from mockup.photo.stand import find_cup
from mockup.photo.turn import find_turn
from mockup.pipeline.finished import MOST_SIDE_PX
from mockup.pipeline.held import decals_held, flat_light, view_of
from mockup.render.process import RenderProcess
from tests.photo.finished.scenes import Scene, equivalent_mm, random_scene

SIZE_PX = (MOST_SIDE_PX * 3 // 4, MOST_SIDE_PX)
LENSES: dict[str, Callable[[float], Lens]] = {
    "known exactly": lambda mm: Lens(mm, 0.001, ""),
    "EXIF, whole mm": lambda mm: lens_told(round(mm), ""),
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


def places_of(scene: Scene) -> list[tuple[float, float, float]]:
    """Of each decal that is seen, how far from its true place it is found: round, up mm, tilt °."""
    light, cup = linear_from_rgb8(scene.rgb8_srgb), scene.cup
    lens = lens_told(round(equivalent_mm(scene.pose)), "")
    pose = find_cup(light, cup.blank, lens, where="photo").pose
    view = view_of(cup, pose, light)
    flat = flat_light(cup, view)
    turn = find_turn(view, flat)
    if turn is None or not turn.sure:  # the same word on both sides is told as such
        return []
    radius = cup.blank.wall.radius_max_mm
    off_mm = (turn.turn_rad - scene.turn_rad) * radius
    return [
        (d.placed.right_mm - off_mm, d.placed.up_mm, d.placed.tilt_deg)
        for d in decals_held(cup, pose, turn, turn.turn_rad, light, view, flat)
        if d.placed is not None
    ]


def report_places(places: list[tuple[float, float, float]]) -> None:
    """One line a quantity."""
    off = np.abs(np.array(places))
    print(f"lettering: {len(off)} words seen, lens by EXIF")
    for nth, what in enumerate(("round mm", "up mm", "tilt °")):
        one = off[:, nth]
        within = int((one <= 1).sum())
        print(
            f"  {what:12s} median {np.median(one):5.2f}  most {one.max():5.2f}  within 1: {within}"
        )


if __name__ == "__main__":
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 50
    with RenderProcess() as renderer:
        scenes = [random_scene(seed, renderer, size_px=SIZE_PX) for seed in range(count)]
    for name, lens in LENSES.items():
        report(name, [errors_of(s, lens(equivalent_mm(s.pose))) for s in scenes])
    report_places([place for scene in scenes for place in places_of(scene)])
