"""What photos tell of materials, in figures.

python -m tests.bench.photo          photos of our own arithmetic and of our own renderer
python -m tests.bench.photo traced   photos of path-traced scenes; needs Mitsuba 3
"""

import sys
import tempfile
from dataclasses import replace
from pathlib import Path

import numpy as np

from tests.photo.drawn import ASIDE, measured_drawn_glitter, measured_drawn_paints, renderer
from tests.photo.scenes import any_camera
from tests.photo.strewn import PX_PER_MM, any_jar
from tests.photo.test_foil import measured_foils, tint_error
from tests.photo.test_glitter import (
    CASES,
    apart,
    matched,
    mean_errors,
    measured_glitter,
    measured_glitters,
    told_of_flashes,
    true_coverage,
    true_shares,
)
from tests.photo.test_swatch import LIGHTS, measured_paints, paint_error, published_spectra


def report_paint(folder, count=600):
    cases = [
        (paint_error(paint, one.swatch), one.delta_e, light, told)
        for paint, light, told, one in measured_paints(folder, count)
    ]
    for light in LIGHTS:
        for word in ("told", "not told"):
            some = np.array(
                [c[:2] for c in cases if c[2] == light and bool(c[3]) == (word == "told")]
            )
            print(
                f"paint, {light} {word}: ΔE00 median {np.median(some[:, 0]):.2f}, 90 % within "
                f"{np.quantile(some[:, 0], 0.9):.2f}; stated {np.median(some[:, 1]):.2f}, held "
                f"{(some[:, 0] <= some[:, 1]).mean():.3f} of {len(some)}"
            )
    print(f"paint, all: held {np.mean([error <= stated for error, stated, _, _ in cases]):.3f}")


def report_glitter(folder, finer=1):
    """Cases of the tests, in photos of `finer` times as many pixels a side."""
    for case in measured_glitters(folder, finer):
        jar, measured, _ = case
        which = matched(jar, measured)
        shares = max(
            abs(measured.swatches[i].share - s)
            for i, s in zip(which, true_shares(case), strict=True)
        )
        cut = measured.figures["cut_mm"].value / jar.cut_mm - 1
        print(
            f"glitter of {len(jar.tints)}, {jar.cut_mm} mm, "
            f"{finer * PX_PER_MM * jar.cut_mm:.0f} px, {jar.light}: mean ΔE00 "
            f"{max(mean_errors(case)):.2f} (stated {measured.mean_delta_e:.2f}), "
            f"shares within {100 * shares:.1f} points, cut {100 * cut:+.1f} %, coverage "
            f"{100 * (measured.figures['coverage'].value - true_coverage(case)):+.1f} points"
        )


def report_any_glitter(folder, count=200):
    """How often what is stated holds the truth, of jars, lights, photos and cameras at random."""
    rng, cameras = np.random.default_rng(70), np.random.default_rng(71)
    held = {"mean": [], "coverage": [], "cut": [], "shares": []}
    errors, told, off = [], [], []
    for i in range(count):
        jar, light = any_jar(rng), LIGHTS[i % 3]
        case = jar, *measured_glitter(
            folder, jar, light, np.random.default_rng(1000 + i), camera=any_camera(cameras)
        )  # fmt: skip
        measured = case[1]
        errors += mean_errors(case)
        told += 2 * [told_of_flashes(measured)]
        held["mean"] += [error <= measured.mean_delta_e for error in mean_errors(case)]
        for name, truth in (("coverage", true_coverage(case)), ("cut", jar.cut_mm)):
            found = measured.figures[name if name == "coverage" else "cut_mm"]
            held[name].append(abs(found.value - truth) <= found.within)
        if len(jar.tints) > 1:
            which = matched(jar, measured)  # tints nearer than are told apart are one
            for k in np.unique(which):
                one, share = measured.swatches[k], true_shares(case)[which == k].sum()
                held["shares"].append(abs(one.share - share) <= max(one.share_within, 1e-9))
                off.append(100 * abs(one.share - share))
    rates = ", ".join(f"{name} {np.mean(each):.3f}" for name, each in held.items())
    clear = np.array(errors)[~np.array(told)]
    print(
        f"any glitter: mean ΔE00 median {np.median(errors):.2f}; where no flashes are told of, "
        f"{len(clear)} of {len(errors)}: within {np.quantile(clear, 0.95):.2f} in 95 %, worst "
        f"{clear.max():.2f}; shares median {np.median(off):.1f} points off, 95 % within "
        f"{np.quantile(off, 0.95):.1f}; of {count} jars held: {rates}"
    )


def report_drawn(folder):
    """Photos of what our own renderer drew, in light from aside and in rooms."""
    session = renderer()
    for room, matt in ((ASIDE, False), ("softbox", True), ("softbox", False), ("window", False)):
        for light in LIGHTS:
            cases = measured_drawn_paints(
                session, room, published_spectra(), light, folder, matt=matt
            )
            errors = np.array([paint_error(paint, one.swatches[0].swatch) for paint, one in cases])
            stated = np.array([one.swatches[0].delta_e for _, one in cases])
            print(
                f"drawn {'matt' if matt else 'smooth'} paint, {room}, {light}: ΔE00 median "
                f"{np.median(errors):.2f}, 90 % within {np.quantile(errors, 0.9):.2f}; held "
                f"{(errors <= stated).mean():.3f} of {len(cases)}"
            )
    for jar, light in CASES:
        for room in dict.fromkeys(("softbox", "kitchen", jar.light)):
            report_drawn_glitter(session, replace(jar, light=room), light, folder)


def report_drawn_glitter(session, jar, light, folder):
    for stops in range(3):  # as a maker does who reads what is told
        measured, means = measured_drawn_glitter(session, jar, light, folder, stops=stops)
        if not told_of_flashes(measured):
            break
    which = matched(jar, measured)
    errors = [apart(*pair) for pair in zip(measured.mean_rgb, means, strict=True)]
    found = [measured.swatches[i].share for i in which]
    shares = np.abs(np.subtract(found, jar.shares)).max()
    print(
        f"drawn glitter of {len(jar.tints)}, {jar.cut_mm} mm, {jar.light}, {light}: mean ΔE00 "
        f"{max(errors):.2f} (stated {measured.mean_delta_e:.2f}), "
        f"{len(measured.swatches)} colours, shares within {100 * shares:.1f} points, "
        f"cut {100 * (measured.figures['cut_mm'].value / jar.cut_mm - 1):+.1f} %, coverage "
        f"{100 * (measured.figures['coverage'].value - jar.coverage):+.1f} points"
        f"{f'; taken again with {stops} stops less' if stops else ''}"
        f"{'; told of lamps' if any('lamps of one' in w for w in measured.words) else ''}"
    )


def report_foil(folder, count=200):
    cases = measured_foils(folder, count)
    errors = np.array([tint_error(tint, one) for tint, _, one in cases])
    stated = np.array([one.swatches[0].delta_e for _, _, one in cases])
    figures = [(one.figures["specular_roughness"], truth) for _, truth, one in cases]
    apart = np.array([abs(told.value - truth) for told, truth in figures])
    within = np.array([told.within for told, _ in figures])
    print(
        f"foil: tint ΔE00 median {np.median(errors):.2f}, held {(errors <= stated).mean():.3f}; "
        f"roughness off by {np.median(apart):.3f}, held {(apart <= within).mean():.3f}"
    )


def report_traced(folder):
    try:
        from tests.bench import photo_traced
    except ModuleNotFoundError as error:
        sys.exit(f"{error}. Install the path tracer first: pip install mitsuba==3.9.1")
    photo_traced.report(folder)


def main():
    with tempfile.TemporaryDirectory() as folder:
        if "traced" in sys.argv[1:]:
            report_traced(Path(folder))
            return
        report_paint(Path(folder))
        report_glitter(Path(folder))
        report_glitter(Path(folder), finer=4)
        report_any_glitter(Path(folder))
        report_foil(Path(folder))
        report_drawn(Path(folder))


if __name__ == "__main__":
    main()
