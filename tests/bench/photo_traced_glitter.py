"""Dry glitter on white and on black paper, path-traced, photographed and measured."""

from dataclasses import dataclass

import numpy as np
from scipy.ndimage import binary_erosion

from mockup.colorimetry.spectra import linear_srgb_weights
from mockup.photo.card import find_card
from mockup.photo.glitter import measure_glitter
from mockup.photo.strewn import Strewn
from mockup.photo.told import Area
from tests.bench import photo_scenes as scenes
from tests.bench.photo_shots import between, doubled, inner, mm_of, photographed
from tests.photo import strewn
from tests.photo.scenes import GREY
from tests.photo.strewn import Jar
from tests.photo.test_glitter import apart, matched

GLITTER_VIEW = scenes.from_above(strewn.SIZE, strewn.PX_PER_MM)
JARS = (
    (Jar(), "D65"),
    (Jar(("#e8c050", "#c03050"), (0.65, 0.35), 1.2, 0.8, 4.0), "LED-B3"),
    (Jar(("#ffffff", "#c87050"), (0.55, 0.45), 1.6, 0.4, 5.0), "A"),
)


@dataclass(frozen=True)
class Traced:
    """Light of strewn flakes, (2h, 2w, n); its mean by a white sheet's; what is seen of them."""

    light: np.ndarray
    mean: np.ndarray
    coverage: float
    shares: np.ndarray
    shade: float  # light of the gaps over that of the same ground without flakes


def glitter_scene(jar, ground, rng):
    """One photo's scene."""
    left, bottom, right, top = mm_of(GLITTER_VIEW, strewn.STREWN)
    more = 1.5 * jar.cut_mm
    beyond = (left - more, bottom - more, right + more, top + more)
    corners, part = scenes.strewn_flakes(
        beyond, jar.cut_mm, jar.coverage, jar.tilt_deg, jar.shares, rng
    )
    card = mm_of(GLITTER_VIEW, strewn.CARD_BOX)

    def build(with_flakes=True):
        parts = {
            **scenes.two_panels(),
            "paper": scenes.flat(-60, -60, 60, 60, 0, scenes.grey(ground)),
        }
        if with_flakes:
            parts["card"] = scenes.flat(*card, 0.3, scenes.grey(GREY))
            parts |= scenes.flakes(corners, part, jar.tints)
        return parts

    left, top, right, bottom = (2 * edge for edge in strewn.STREWN)
    area = slice(top, bottom), slice(left, right)
    light = doubled(scenes.traced_finely(GLITTER_VIEW, build))
    bare = scenes.traced(GLITTER_VIEW, lambda: build(False), finer=0.125, samples=256)
    white = np.kron(bare.mean(-1) / ground, np.ones((16, 16)))
    white = np.pad(white, ((0, 16), (0, 16)), mode="edge")[: light.shape[0], : light.shape[1]]
    seen = scenes.shapes_seen(GLITTER_VIEW, build())[area]
    gap = seen == "paper"
    by_white = light[area] / white[area][..., None]
    clear = binary_erosion(gap, iterations=3)  # of edges that a pixel holds in part
    shares = np.array([(seen == f"flakes{i}").sum() for i in range(len(jar.tints))])
    return Traced(
        light, by_white.mean((0, 1)), 1 - gap.mean(), shares / shares.sum(),
        float(by_white[clear].mean() / ground),
    )  # fmt: skip


def measured_glitter(jar, pair, illuminant, folder, seed=50):
    rng, photos = np.random.default_rng(seed), []
    for ground, one in zip((strewn.WHITE, strewn.BLACK), pair, strict=True):
        faults = strewn.any_faults(rng)
        photo = photographed(
            one.light, illuminant, inner(strewn.CARD_BOX), rng, faults,
            folder / f"{ground}.jpg",
        )  # fmt: skip
        card = find_card(photo, strewn.CARD, size_mm=strewn.CARD_MM)
        photos.append(Strewn(photo, card, Area(*strewn.STREWN), Area(*strewn.BARE)))
    return measure_glitter(*photos, reflectance=GREY, light=illuminant)


def report_glitter(folder):
    for jar, illuminant in JARS:
        rng = np.random.default_rng(51)
        pair = [glitter_scene(jar, ground, rng) for ground in (strewn.WHITE, strewn.BLACK)]
        measured = measured_glitter(jar, pair, illuminant, folder)
        day = between().T @ linear_srgb_weights("D65")
        errors = [
            apart(rgb, one.mean @ day) for rgb, one in zip(measured.mean_rgb, pair, strict=True)
        ]
        coverage = np.mean([one.coverage for one in pair])
        which = matched(jar, measured)
        found = np.array([measured.swatches[i].share for i in which])
        shares = np.abs(found - np.mean([one.shares for one in pair], axis=0)).max()
        told = measured.figures
        print(
            f"traced glitter of {len(jar.tints)}, {jar.cut_mm} mm, {illuminant}: mean ΔE00 "
            f"{max(errors):.2f} (stated {measured.mean_delta_e:.2f}), {len(measured.swatches)} "
            f"colours, shares within {100 * shares:.1f} points, cut "
            f"{100 * (told['cut_mm'].value / jar.cut_mm - 1):+.1f} %, coverage "
            f"{100 * (told['coverage'].value - coverage):+.1f} points (stated "
            f"{100 * told['coverage'].within:.1f}); shade on white {pair[0].shade:.2f}",
            flush=True,
        )
