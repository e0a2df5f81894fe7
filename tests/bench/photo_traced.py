"""Photos of path-traced scenes, measured: ``python -m tests.bench.photo traced``.

A scene is traced by wavelength and photographed as all others are, with the noise, vignetting,
white balance and JPEG of `tests.photo.scenes`; what is true of it is read from the scene itself.
"""

from dataclasses import replace

import numpy as np

from mockup.colorimetry.spectra import wavelengths_nm
from mockup.photo.card import find_card
from mockup.photo.foil import Mirroring, measure_foil
from mockup.photo.swatch import measure_sheet
from mockup.photo.told import Area
from tests.bench import photo_scenes as scenes
from tests.bench.photo_shots import between, corners_of, doubled, inner, mm_of, photographed
from tests.bench.photo_traced_glitter import report_glitter
from tests.photo.scenes import GREY, table_spectrum
from tests.photo.test_foil import tint_error
from tests.photo.test_swatch import LIGHTS, paint_error, published_spectra, usual_faults

PHOTOS = 4  # of each scene of paint, each with its own faults
PAINT_VIEW = scenes.from_above((400, 300), 2.0)
PAINT_CARD = (140, 110, 260, 190)  # left, top, right, bottom, px
PATCHES = tuple((x, y, x + 60, y + 60) for y in (20, 220) for x in (60, 170, 280))

FOILS = (("#ffffff", 0.2), ("#d9a05c", 0.3), ("#4c8fc4", 0.4))
CARD_MM = (85.6, 53.98)
FAR_MM = 60.0
ELEVATION_RAD = np.arcsin(CARD_MM[1] / 2 / FAR_MM)  # of the ray from the foil to the card's middle
FOIL_VIEW = scenes.View(
    (20.0, -600 * np.cos(ELEVATION_RAD) - 25, 600 * np.sin(ELEVATION_RAD)),
    (20.0, -15.0, 10.0), (0.0, 0.0, 1.0), (480, 300), 240.0,
)  # fmt: skip


# Paint


def paint_scene(spectra, surroundings, glossy=False):
    """Six paints around a card."""

    def build():
        parts = {**scenes.two_softboxes(), **surroundings()}
        parts["table"] = scenes.flat(-300, -300, 300, 300, 0, scenes.matt(table_spectrum()))
        card = mm_of(PAINT_VIEW, PAINT_CARD)
        parts["card"] = scenes.flat(*card, 0.3, scenes.grey(GREY))
        for i, (box, spectrum) in enumerate(zip(PATCHES, spectra, strict=True)):
            look = scenes.glossy(spectrum) if glossy else scenes.matt(spectrum)
            parts[f"paint {i}"] = scenes.flat(*mm_of(PAINT_VIEW, box), 0.3, look)
        return parts

    return doubled(scenes.traced(PAINT_VIEW, build, depth=4))


def measured_paints(light, spectra, illuminant, rng, folder):
    """(ΔE00, stated, whether gloss is told) of each."""
    cells = inner(PAINT_CARD)
    faults = replace(usual_faults(rng), exposure=0.5)  # so that nothing is clipped
    photo = photographed(light, illuminant, cells, rng, faults, folder / "paint.jpg")
    card = find_card(photo, corners_of(PAINT_CARD))
    found = []
    for (left, top, right, bottom), spectrum in zip(PATCHES, spectra, strict=True):
        area = Area(left + 8, top + 8, right - 8, bottom - 8)
        one = measure_sheet(photo, card, area, "paint", reflectance=GREY, light=illuminant)
        truth = between() @ np.interp(scenes.NM, wavelengths_nm(), spectrum)
        told = any("glossy" in word for word in one.words)
        found.append((paint_error(truth, one.swatches[0].swatch), one.swatches[0].delta_e, told))
    return found


def report_paint(folder):
    rooms = {"two softboxes": (dict, False), "in a room": (scenes.room, False),
             "glossy, in a room": (scenes.room, True)}  # fmt: skip
    chart = published_spectra()
    for name, (surroundings, glossy) in rooms.items():
        lots = [chart[i::4] for i in range(4)]
        lights = [paint_scene(lot, surroundings, glossy) for lot in lots]
        for illuminant in LIGHTS:
            rng = np.random.default_rng(40)
            cases = np.array(
                [
                    case
                    for light, lot in PHOTOS * list(zip(lights, lots, strict=True))
                    for case in measured_paints(light, lot, illuminant, rng, folder)
                ]
            )
            held = cases[:, 0] <= cases[:, 1]
            print(
                f"traced paint, {name}, {illuminant}: ΔE00 median {np.median(cases[:, 0]):.2f}, "
                f"90 % within {np.quantile(cases[:, 0], 0.9):.2f}; held {held.mean():.3f} of "
                f"{len(cases)}, held or told of gloss {(held | (cases[:, 2] > 0)).mean():.3f}",
                flush=True,
            )


# Foil


def foil_scene(tint, roughness, dark):
    """The card standing behind the foil, or black cloth in its place and the card beside."""
    width, height = CARD_MM
    far = FAR_MM * np.cos(ELEVATION_RAD)

    def standing(left, level):
        corners = [[left, 0, 0], [left + width, 0, 0], [left + width, 0, height], [left, 0, height]]
        return scenes.sheet(corners, scenes.grey(level))

    def build():
        parts = scenes.lamps_before()
        parts["table"] = scenes.flat(-300, -300, 300, 300, -0.1, scenes.matt(table_spectrum()))
        parts["foil"] = scenes.flat(-35, -far - 25, 35, -20, 0, scenes.metal(tint, roughness))
        parts["there"] = standing(-width / 2, 0.03 if dark else GREY)
        if dark:
            parts["beside"] = standing(width / 2 + 5, GREY)
        return parts

    return doubled(scenes.traced(FOIL_VIEW, build))


def foil_photo(light, dark, illuminant, rng, path):
    width, height = CARD_MM
    left = width / 2 + 5 if dark else -width / 2
    corners = [[left, 0, height], [left + width, 0, height], [left + width, 0, 0], [left, 0, 0]]
    at = FOIL_VIEW.seen_at(np.array(corners))
    box = (*(at.min(0) + 3), *(at.max(0) - 3))
    photo = photographed(light, illuminant, inner(box), rng, usual_faults(rng), path)
    far = FAR_MM * np.cos(ELEVATION_RAD)
    spot = FOIL_VIEW.seen_at(np.array([[-10, -far - 9, 0], [10, -far + 9, 0]]))
    spot = np.sort(np.rint(spot).astype(int), axis=0)
    return Mirroring(photo, find_card(photo, at), Area(*spot.ravel()))


def report_foil(folder):
    for tint, roughness in FOILS:
        pair = [foil_scene(tint, roughness, dark) for dark in (False, True)]
        for illuminant in LIGHTS:
            rng = np.random.default_rng(60)
            photos = [
                foil_photo(light, dark, illuminant, rng, folder / f"foil{dark}.jpg")
                for light, dark in zip(pair, (False, True), strict=True)
            ]
            one = measure_foil(
                *photos, reflectance=GREY, dark=0.03, distance_mm=FAR_MM, light=illuminant
            )
            told = one.figures["specular_roughness"]
            print(
                f"traced foil {tint}, {illuminant}: tint ΔE00 {tint_error(tint, one):.2f} (stated "
                f"{one.swatches[0].delta_e:.2f}), roughness {told.value:.3f} ± {told.within:.3f} "
                f"of {roughness}",
                flush=True,
            )


def report(folder):
    """Print every figure."""
    report_paint(folder)
    report_glitter(folder)
    report_foil(folder)
