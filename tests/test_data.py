"""Every shipped palette and texture is valid, fits the demo, and has a source and a licence."""

import io
import re
import tomllib
from xml.etree import ElementTree

import numpy as np
import pytest
import resvg_py
from PIL import Image

from mockup.colorimetry.difference import XYZ_FROM_LINEAR_SRGB, delta_e_2000, lab_from_linear_srgb
from mockup.design.document import Design, Document
from mockup.design.palette import Palette
from mockup.files import shipped
from mockup.material.optics import compile_swatch

PALETTES = sorted(shipped("palettes").glob("*.toml"))
REGATTA = shipped("textures", "regatta")
REGATTA_PALETTES = sorted((REGATTA / "palettes").glob("*.toml"))
ARTWORK = sorted(REGATTA.glob("assets/*"))


def _palette(path):
    return Palette.model_validate(tomllib.loads(path.read_text("utf-8")))


def _regatta():
    return Document.model_validate(tomllib.loads((REGATTA / "design.toml").read_text("utf-8")))


def _rows_of_sources():
    text = shipped("textures", "SOURCES.md").read_text("utf-8")
    rows = [[cell.strip() for cell in line.strip("|").split("|")] for line in text.splitlines()]
    return {row[0]: row[1:] for row in rows if len(row) == 4 and "/" in row[0]}


def test_palettes_are_shipped():
    assert len(PALETTES) >= 12
    assert len(REGATTA_PALETTES) == 3


@pytest.mark.parametrize("path", PALETTES + REGATTA_PALETTES, ids=lambda p: p.stem)
def test_a_palette_is_named_as_its_file_and_has_source_and_licence(path):
    palette = _palette(path)

    assert palette.name == path.stem
    assert palette.note
    assert palette.source
    assert palette.licence
    assert all(swatch.label and swatch.source for swatch in palette.roles.values())


@pytest.mark.parametrize("path", PALETTES, ids=lambda p: p.stem)
def test_every_palette_dresses_the_demo(path):
    """Each is an option of the regatta cup: it has every role that a layer asks for."""
    palette = _palette(path)
    design = Design(_regatta(), {palette.name: palette}, {}).with_palette(palette.name)

    for role, where in design.roles():
        design.swatch(role, where=where)


@pytest.mark.parametrize("path", PALETTES, ids=lambda p: p.stem)
def test_every_palette_compiles_to_optics_that_swallow_light(path):
    """No swatch sends back more light than it gets, bare and face on."""
    for role, swatch in _palette(path).roles.items():
        _, luminance, _ = XYZ_FROM_LINEAR_SRGB @ compile_swatch(swatch).reflectance_bare

        assert 0 < luminance < 1, role


def test_no_two_palettes_are_nearly_one():
    """In each pair of palettes, some role's dry colours lie further apart than ΔE00 10."""
    roles = ("base", "glitter-mid", "lettering")
    palettes = [_palette(path) for path in PALETTES]
    colours = [[compile_swatch(p.roles[role]).reflectance_bare for role in roles] for p in palettes]
    lab = lab_from_linear_srgb(np.array(colours))

    apart = delta_e_2000(lab[:, None], lab[None, :]).max(axis=-1)
    assert apart[~np.eye(len(palettes), dtype=bool)].min() > 10


@pytest.mark.parametrize("path", REGATTA_PALETTES, ids=lambda p: p.stem)
def test_the_demo_carries_the_shipped_palettes(path):
    assert path.read_bytes() == shipped("palettes", path.name).read_bytes()


def test_the_demo_names_its_own_files():
    design = _regatta()

    named = {getattr(layer, key, None) for layer in design.layers for key in ("artwork", "svg")}
    assert named - {None} == {path.relative_to(REGATTA).as_posix() for path in ARTWORK}
    assert design.palette in {path.stem for path in REGATTA_PALETTES}


def test_every_texture_is_listed_with_size_source_and_licence():
    rows = _rows_of_sources()

    files = {f"regatta/{p.relative_to(REGATTA).as_posix()}" for p in REGATTA.rglob("*.*")}
    assert set(rows) == files
    assert all(all(cells) for cells in rows.values())


@pytest.mark.parametrize("path", ARTWORK, ids=lambda p: p.stem)
def test_artwork_is_as_large_as_it_is_listed(path):
    """Width and height are real mm, and one unit of the drawing is one mm."""
    svg = ElementTree.parse(path).getroot()
    width, height = (float(svg.attrib[key].removesuffix("mm")) for key in ("width", "height"))

    listed = _rows_of_sources()[f"regatta/assets/{path.name}"][0]
    assert [float(n) for n in re.findall(r"[\d.]+", listed)[:2]] == [width, height]
    assert [float(n) for n in svg.attrib["viewBox"].split()[2:]] == [width, height]


def test_the_bunting_closes_at_the_seam():
    """Its left and right edges are the same picture, so no cord or pennant breaks at the seam.

    Half a pixel column of drawing lies between the two, at most 2 % of a column differs.
    """
    rgba = _raster(REGATTA / "assets" / "bunting.svg", 2294, 375)
    left, right = rgba[:, 1].astype(int), rgba[:, -2].astype(int)

    assert (left[:, 3] > 128).any(), "something crosses the seam"
    assert (np.abs(left - right).max(axis=1) > 64).mean() < 0.02


def test_the_bunting_is_once_round_the_demo_cup():
    svg = ElementTree.parse(REGATTA / "assets" / "bunting.svg").getroot()

    round_mm = np.pi * _regatta().blank.diameter_mm
    assert float(svg.attrib["width"].removesuffix("mm")) == pytest.approx(round_mm, abs=0.05)


@pytest.mark.parametrize("path", ARTWORK, ids=lambda p: p.stem)
def test_artwork_keeps_inside_its_sheet(path):
    """Nothing is cut off at the top or the foot, nor, but for what closes, at the sides."""
    svg = ElementTree.parse(path).getroot()
    width_px, height_px = (round(8 * float(n)) for n in svg.attrib["viewBox"].split()[2:])
    edges = _raster(path, width_px, height_px)[..., 3]

    assert not edges[[0, -1]].any()
    if path.stem != "bunting":
        assert not edges[:, [0, -1]].any()


def _raster(path, width_px, height_px):
    png = resvg_py.svg_to_bytes(
        svg_string=path.read_text("utf-8"), dpi=96, width=width_px, height=height_px
    )
    return np.asarray(Image.open(io.BytesIO(bytes(png))).convert("RGBA"))
