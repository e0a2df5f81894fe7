"""The browser's viewer in real Chromium: what it shows, how it is handled, what it survives."""

import shutil
from dataclasses import replace

import pytest

from mockup.colorimetry.difference import delta_e_2000, lab_from_rgb8
from mockup.design.palette import FilmLayer, FilmSwatch, HologramSwatch, MetalSwatch
from mockup.design.read import read_design
from mockup.files import shipped
from mockup.pipeline.cup import Shot, build_cup, render_cup
from mockup.render.lights import illuminant_of
from mockup.render.process import RenderProcess
from mockup.render.web.parcel import Packer
from mockup.shading.table import foil_quality
from tests.render.chromium import Desk, opened_browser

pytestmark = pytest.mark.browser

WIDTH, HEIGHT = 300, 400
SAMPLES = 4  # 2 × 2 a pixel
FOIL = """
format = 1
title = "Stroke"
palette = "storm-silver"
light = "softbox"
[blank]
shape = "straight"
diameter_mm = 73.0
wall_height_mm = 150.0
[[layers]]
kind = "base"
swatch = "base"
[[layers]]
kind = "decal"
swatch = "lettering"
text = "STROKE"
font = "Amatic SC Bold"
letter_height_mm = 40.0
place = { height_mm = 80, angle_deg = 0 }
backing = [{ swatch = "backing", outset_mm = 1.0 }]
[[layers]]
kind = "coat"
thickness_mm = 0.8
gloss = "gloss"
"""
TAPER = """
format = 1
title = "Bow"
palette = "deep-water"
light = "softbox"
[blank]
shape = "tapered"
foot_circumference_mm = 220.0
rim_diameter_mm = 88.0
slant_height_mm = 155.0
[[layers]]
kind = "base"
swatch = "base"
[[layers]]
kind = "wrap"
artwork = "assets/bunting.svg"
fit = "round"
from_mm = 60.0
to_mm = 110.0
sheet = "fabric"
[[layers]]
kind = "coat"
thickness_mm = 1.2
gloss = "satin"
"""
CLEAR = FilmSwatch(metal="none", layers=(FilmLayer(n=2.4, thickness_nm=90),))
# palettes of the demo that ask for more of the shading programs
ODD = {
    "grated": {"lettering": HologramSwatch(), "glitter-pale": HologramSwatch()},
    "clear": {"lettering": CLEAR, "glitter-mid": CLEAR, "backing": MetalSwatch(metal="gold")},
}
# where each design is seen from
VIEWS = {
    "foil": {"turn_deg": 12.0, "elevation_deg": 10.0},
    "demo": {"turn_deg": -25.0, "elevation_deg": 24.0},
    "taper": {"turn_deg": 150.0, "elevation_deg": 3.0},
    "grated": {"turn_deg": 8.0, "elevation_deg": 15.0},
    "clear": {"turn_deg": 8.0, "elevation_deg": 15.0},
}


@pytest.fixture(scope="module")
def cups(tmp_path_factory):
    folder = tmp_path_factory.mktemp("designs")
    shutil.copytree(shipped("textures", "regatta", "assets"), folder / "assets")
    made = {"demo": build_cup(read_design(shipped("textures", "regatta")))}
    for name, text in (("foil", FOIL), ("taper", TAPER)):
        (folder / "design.toml").write_text(text, "utf-8")
        made[name] = build_cup(read_design(folder))
    demo = made["demo"]
    for name, swatches in ODD.items():
        roles = {**demo.design.palette.roles, **swatches}
        palette = demo.design.palette.model_copy(update={"roles": roles})
        design = replace(demo.design, palettes={palette.name: palette})
        made[name] = replace(demo, design=design)
    return made


@pytest.fixture(scope="module")
def renderer():
    with RenderProcess() as process:
        process.start()
        yield process


@pytest.fixture(scope="module")
def browser():
    with opened_browser() as opened:
        yield opened


@pytest.fixture(scope="module")
def desk(browser):
    """A page that shows the cup of painted steel with foil; tests leave it shown at its front."""
    with browser.new_context() as context:
        yield Desk(context, WIDTH, HEIGHT)


@pytest.fixture(scope="module")
def packed(cups):
    packer = Packer()

    def pack(name, light="softbox"):
        cup = cups[name]
        return packer.pack(
            cup.model,
            cup.blank.wall,
            cup.table(illuminant_of(light)),
            light,
            foil_quality(cup.model.skin, cup.optics()),
        )

    return pack


def differences(shown, still):
    """Mean ΔE00 over the cup, and over what lies behind it."""
    far = delta_e_2000(lab_from_rgb8(shown), lab_from_rgb8(still.rgba8_srgb))
    on_cup = still.linear[..., 3] > 0
    return far[on_cup].mean(), far[~on_cup].mean()


@pytest.mark.parametrize("light", ["softbox", "evening"])
@pytest.mark.parametrize(
    ("name", "most"),
    [("foil", 0.2), ("demo", 0.6), ("taper", 0.2), ("grated", 0.6), ("clear", 0.6)],
)
def test_the_page_shows_what_the_still_shows(desk, cups, packed, renderer, name, most, light):
    """Same camera, same sub-samples, in two renderers and two drivers."""
    view = VIEWS[name]
    desk.show(packed(name, light).to_bytes(), samples=SAMPLES, view=view)
    shot = Shot(WIDTH, HEIGHT, samples=SAMPLES, **view)
    still = render_cup(cups[name], shot, renderer, light=light, keep_linear=True)
    desk.settle()

    on_cup, behind = differences(desk.shot(), still)

    print(f"{name} {light}: cup {on_cup:.3f}, behind {behind:.3f}")
    assert on_cup <= most
    assert behind <= 0.2
    assert desk.faults == []
