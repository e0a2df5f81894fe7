"""Photos whose scene our own renderer has drawn: a nearly flat wall, seen straight on, and a card.

Nothing is laid over the wall's base coat; but dry paint is its own face, which mirrors a twentieth
of what stands before it. So the card is drawn as paint too, and the lamps of `ASIDE` leave dark
what is mirrored, as a photographer has it; in a room that veil is in the photo. Strewn flakes are
drawn dry, or on request as if wet adhesive bound them, through which less light comes between them.

What was drawn is photographed with the noise, vignetting, white balance and JPEG of `scenes`. The
renderer sees as the observer does: the camera's own matrix has no errors here, but in `scenes`.
"""

from dataclasses import replace

import numpy as np

from mockup.blank.wall import Wall
from mockup.colorimetry.spectra import wavelengths_nm
from mockup.design.palette import MetalSwatch, SpectrumSwatch
from mockup.material.optics import compile_swatch, steel
from mockup.photo.card import find_card
from mockup.photo.glitter import measure_glitter
from mockup.photo.picture import open_photo
from mockup.photo.strewn import Strewn
from mockup.photo.swatch import measure_sheet
from mockup.photo.told import Area
from mockup.render.lights import COLUMNS, ROWS, Light, directions
from mockup.render.request import Request, camera_for
from mockup.render.session import Session
from mockup.shading.gaps import GAP_NODES, find_gaps, second_exit
from mockup.shading.table import HEXAGON, ROW_FLAKES, ROW_GAPS, build_table, flake_heights
from mockup.skin.skin import Clear, Flakes
from tests.photo import strewn
from tests.photo.scenes import (
    CARD,
    GREY,
    PATCH,
    developed,
    inside,
    saved,
    scene_labels,
    table_spectrum,
)
from tests.photo.test_swatch import AREA, usual_faults
from tests.render.cups import band_cup

RADIUS_MM = 300.0  # of the wall: 20 mm of it turn by 4°
HEIGHT_MM = (strewn.STREWN[3] - strewn.STREWN[1]) / strewn.PX_PER_MM  # of strewn wall
ASIDE = "lamps to both sides"


def wall_of(height_mm, jar=None):
    """A nearly flat wall of bare base coat, strewn with a jar's flakes or with none."""
    wall = Wall("cylinder", (0.0, height_mm), (RADIUS_MM, RADIUS_MM))
    cover = jar.coverage if jar else 0.0
    bands = band_cup(
        f"drawn {height_mm} {jar}", depth_mm=0.0, wall=wall, field=lambda up, _: 0 * up + cover
    )
    skin = bands.model.skin
    flakes = Flakes("flakes", 1.0, (("paint", 1.0),), 7.0, 5, 2, 0.0)
    if jar:
        mix = tuple((f"flake {i}", share) for i, share in enumerate(jar.shares))
        flakes = Flakes("flakes", jar.cut_mm, mix, jar.tilt_deg, 5, 2, 0.0)
    bare = replace(
        skin,
        art_rgba8_srgb=np.zeros_like(skin.art_rgba8_srgb),
        edge_distance=np.full_like(skin.edge_distance, 255),
        flakes=(flakes,),
        clear=Clear(0.0, "gloss"),
    )
    return replace(bands, model=replace(bands.model, skin=bare))


def renderer():
    """A renderer in this process that knows `ASIDE`: a lamp 30° to 60° off to either side."""
    session, dark = Session(), np.zeros(3, np.float32)
    towards = directions(ROWS, COLUMNS)
    azimuth = np.degrees(np.arctan2(np.abs(towards[..., 0]), -towards[..., 1]))
    lamps = (np.abs(azimuth - 45) < 15) & (np.abs(towards[..., 2]) < 0.3)
    radiance = np.repeat(lamps[..., None], 3, axis=-1).astype(np.float32)
    session._lights[ASIDE] = Light(ASIDE, radiance, dark, np.zeros((2, 3), np.float32))
    return session


def _paint(spectrum):
    """The swatch that the design document writes of a spectrum."""
    nm = tuple(float(one) for one in wavelengths_nm())
    return SpectrumSwatch(nm=nm, reflectance=tuple(np.clip(spectrum, 0, 1)), source="known")


def _in_air(optics):
    """A swatch whose metal has no resin over it."""
    return replace(
        optics,
        fresnel_coated=optics.fresnel_bare,
        lowest_cosines=(optics.lowest_cosines[1], optics.lowest_cosines[1]),
    )


def _take_resin_away(table, skin, paint):
    """Make the table's paint matt, with no face of its own, and strewn flakes lie in air."""
    table[0, 0, 1] = 1.0  # the coat's index
    table[0, 2, :2] = 0.0  # what its face throws back; whether paint is its own face
    table[0, 4, :3] = paint.reflectance_bare
    for i, flakes in enumerate(skin.flakes):
        radius = np.sqrt(HEXAGON * flakes.cut_mm**2 / np.pi)
        gaps = find_gaps(float(radius), *flake_heights(flakes), flakes.tilt_deg, 1.0)
        nodes = np.stack(
            [gaps.seen, gaps.out, gaps.back, gaps.all_,
             gaps.out_under, gaps.back_under, gaps.all_under, gaps.head], axis=-1,
        )  # fmt: skip
        table[ROW_GAPS + i, : 2 * GAP_NODES] = nodes.reshape(2 * GAP_NODES, 4)
        table[ROW_FLAKES + i, 10] = second_exit(flakes.tilt_deg, 1.0)


def drawn(session, bands, room, spectrum, illuminant, size_px, mm, *, jar=None, in_air=False):
    """Linear light of the wall's middle, (h, w, 3); `mm` of it are as high as the picture."""
    swatches = {"paint": _paint(spectrum), "foil": MetalSwatch(metal="aluminium")}
    for i, tint in enumerate(jar.tints if jar else ()):
        swatches[f"flake {i}"] = MetalSwatch(metal="aluminium", tint_srgb=tint)
    optics = {role: compile_swatch(one, illuminant=illuminant) for role, one in swatches.items()}
    if in_air:
        optics = {role: _in_air(one) for role, one in optics.items()}
    table = build_table(
        bands.model.skin,
        optics,
        steel(illuminant=illuminant),
        {},
        radius_min_mm=RADIUS_MM,
        illuminant=illuminant,
    )
    if in_air:
        _take_resin_away(table, bands.model.skin, optics["paint"])
    middle = bands.blank.wall_foot_z_mm + bands.blank.wall.length_mm / 2
    width, height = size_px
    camera = camera_for(
        bands.model.height_mm, RADIUS_MM, aspect=width / height, elevation_deg=0.0,
        target=(0.0, -RADIUS_MM, middle), field_mm=mm,
    )  # fmt: skip
    request = Request(width, height, 4, 0.0, camera, room, table, (16, 4))
    picture = session.picture(
        bands.model, request, transparent=True, keep_linear=True, progress=lambda *_: None
    )
    return picture.linear[..., :3].astype(float)


def paint_photo(session, bands, room, spectrum, illuminant, rng, faults, *, in_air=False):
    """The file's bytes: card and material on a table, all of them drawn as paint."""
    left, top, right, bottom = (2 * edge for edge in PATCH)

    def wall(paint, size_px=(16, 16)):
        return drawn(session, bands, room, paint, illuminant, size_px, 8.0, in_air=in_air)

    card, table = (wall(p).mean((0, 1)) for p in (np.full(81, GREY), table_spectrum()))
    light = np.stack([table, card, table])[scene_labels()]
    light[top:bottom, left:right] = wall(spectrum, (right - left, bottom - top))
    return developed(light * (GREY / card), rng, faults)


def glitter_photo(session, bands, jar, ground, illuminant, rng, *, in_air, stops=0):
    """The file's bytes, and the strewn area's mean in daylight by the card's white: (3,)."""
    left, top, right, bottom = (2 * edge for edge in strewn.STREWN)
    size_px, bare = (right - left, bottom - top), wall_of(HEIGHT_MM)

    def paper(level, illuminant):
        paint = np.full(81, level)
        light = drawn(
            session, bare, jar.light, paint, illuminant, (16, 16), HEIGHT_MM, in_air=in_air
        )
        return light.mean((0, 1))

    def flakes(illuminant):
        paint = np.full(81, ground)
        by_card = GREY / paper(GREY, illuminant)
        return by_card * drawn(
            session, bands, jar.light, paint, illuminant, size_px, HEIGHT_MM, jar=jar, in_air=in_air
        )

    card = paper(GREY, illuminant)
    width, height = strewn.SIZE
    x, y = np.meshgrid(np.arange(2 * width) / 2 - 0.25, np.arange(2 * height) / 2 - 0.25)
    light = np.where(inside(strewn.CARD, x, y)[..., None], card, paper(ground, illuminant))
    light *= GREY / card
    light[top:bottom, left:right] = flakes(illuminant)
    day = flakes("D65").mean(axis=(0, 1))
    return developed(light, rng, strewn.any_faults(rng, stops)), day


def measured_drawn_paints(session, room, spectra, illuminant, folder, *, matt=False, seed=11):
    """(spectrum, what was measured) of each, from a photo of its own."""
    rng, bands, found = np.random.default_rng(seed), wall_of(12.0), []
    for spectrum in spectra:
        faults = usual_faults(rng)
        data = paint_photo(session, bands, room, spectrum, illuminant, rng, faults, in_air=matt)
        photo = open_photo(saved(folder, data))
        measured = measure_sheet(
            photo, find_card(photo, CARD), AREA, "paint", reflectance=GREY, light=illuminant
        )
        found.append((spectrum, measured))
    return found


def measured_drawn_glitter(session, jar, illuminant, folder, *, in_air=True, seed=30, stops=0):
    """What was measured, and the drawn means on white and on black in daylight."""
    rng, bands = np.random.default_rng(seed), wall_of(HEIGHT_MM, jar)
    photos, means = [], []
    for ground in (strewn.WHITE, strewn.BLACK):
        data, mean = glitter_photo(
            session, bands, jar, ground, illuminant, rng, in_air=in_air, stops=stops
        )
        photo = open_photo(saved(folder, data, f"{ground}.jpg"))
        card = find_card(photo, strewn.CARD, size_mm=strewn.CARD_MM)
        photos.append(Strewn(photo, card, Area(*strewn.STREWN), Area(*strewn.BARE)))
        means.append(mean)
    return measure_glitter(*photos, reflectance=strewn.GREY, light=illuminant), means
