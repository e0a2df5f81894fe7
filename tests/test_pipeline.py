"""The main job end to end: a design file in, pictures, radiance and a proof out."""

import json
from dataclasses import replace

import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image
from pypdf import PdfReader

from mockup import pipeline
from mockup.design.palette import (
    FilmLayer,
    FilmSwatch,
    HologramSwatch,
    MetalSwatch,
    Palette,
    PigmentSwatch,
)
from mockup.design.read import read_design
from mockup.faces.cli import cli
from mockup.files import shipped
from mockup.render.process import RenderProcess
from tests.golden import assert_looks_like
from tests.skin.cups import design_of

DEMO = shipped("textures", "regatta")


@pytest.fixture(scope="module")
def renderer():
    with RenderProcess() as process:
        yield process


@pytest.fixture(scope="module")
def cup():
    return pipeline.build_cup(read_design(DEMO))


def run(*words):
    done = CliRunner().invoke(cli, [str(word) for word in words])
    assert done.exit_code == 0, done.output
    return done


def test_the_demo_becomes_a_proof(tmp_path):
    """`demo` and `proof`, as README begins: four pages, and nothing but them is left behind."""
    run("demo", tmp_path / "regatta")
    run("proof", tmp_path / "regatta", "-o", tmp_path / "regatta.pdf")

    pages = PdfReader(tmp_path / "regatta.pdf").pages
    assert len(pages) == 4
    assert "Seaglass Eight" in pages[0].extract_text()
    assert sorted(path.name for path in tmp_path.iterdir()) == ["regatta", "regatta.pdf"]


def test_a_picture_its_radiance_and_its_scene(tmp_path):
    """What `--linear` and `--scene` write belongs to the picture beside it."""
    run(
        "render", DEMO, "-o", tmp_path / "cup.png", "--size", "90x120", "--samples", 2,
        "--linear", tmp_path / "cup.npy", "--scene", tmp_path / "cup.json", "--turn", 30,
    )  # fmt: skip

    with Image.open(tmp_path / "cup.png") as image:
        assert image.size == (90, 120)
        assert image.mode == "RGB"
        shown = np.asarray(image)
    linear = np.load(tmp_path / "cup.npy")
    assert linear.shape == (120, 90, 4)
    assert linear.dtype == np.float32
    scene = json.loads((tmp_path / "cup.json").read_text())
    assert {"camera", "mesh", "light", "illuminant", "exposure"} <= scene.keys()
    assert {"position_mm", "target_mm", "up", "vertical_fov_deg"} <= scene["camera"].keys()
    with np.load(tmp_path / scene["mesh"]["file"]) as mesh:
        assert mesh["positions_mm"][:, 2].max() == pytest.approx(199.0, abs=0.2)
    assert np.load(tmp_path / scene["light"]["file"]).shape == (512, 1024, 3)
    dark = linear[..., :3].max(-1) * scene["exposure"] < 0.5
    exposed = linear[..., :3] * scene["exposure"]
    code = np.where(exposed <= 0.0031308, 12.92 * exposed, 1.055 * exposed ** (1 / 2.4) - 0.055)
    assert np.median(np.abs(code * 255 - shown)[dark]) < 2


def test_the_ground_can_be_left_out(tmp_path):
    run(
        "render", DEMO, "-o", tmp_path / "cup.png", "--size", "60x80", "--samples", 1,
        "--transparent",
    )  # fmt: skip

    with Image.open(tmp_path / "cup.png") as image:
        alpha = np.asarray(image)[..., 3]
    assert alpha[0].max() == 0
    assert alpha[40, 30] == 255


def test_turn_brings_what_lies_there_to_the_middle(cup, renderer):
    """The seat's number is cut for 180°; at 180° copper is in the middle, at 90° it is not."""

    def copper(turn_deg):
        shot = pipeline.Shot(150, 200, turn_deg=turn_deg, samples=4, transparent=True)
        light = pipeline.render_cup(cup, shot, renderer, keep_linear=True).linear
        middle = light[80:110, 70:80, :3].mean((0, 1))
        return middle[0] / middle[2]

    assert copper(180.0) > 1.3 * copper(90.0)


def test_what_is_placed_at_the_right_comes_to_the_middle(renderer):
    """A disc at 90°: in the middle at turn 90, to the right before that and to the left after."""
    layers = [
        {"kind": "base", "swatch": "paint"},
        {
            "kind": "decal", "swatch": "vinyl", "svg": "assets/disc.svg", "width_mm": 8.0,
            "place": {"height_mm": 30.0, "angle_deg": 90.0},
        },
    ]  # fmt: skip
    black, white = PigmentSwatch(srgb="#000000"), PigmentSwatch(srgb="#ffffff")
    palettes = {
        name: Palette(name=name, roles={"paint": black, "vinyl": vinyl})
        for name, vinyl in (("none", black), ("disc", white))
    }
    cup = pipeline.build_cup(replace(design_of(layers), palettes=palettes))

    def across(turn_deg):
        """Where the disc changes the picture, from −1 at its left to 1."""
        shot = pipeline.Shot(96, 128, turn_deg=turn_deg, samples=4, transparent=True)
        without, with_disc = (
            pipeline.render_cup(c, shot, renderer, light="softbox", keep_linear=True).linear
            for c in (cup, cup.with_palette("disc"))
        )
        columns = np.nonzero(np.abs(with_disc - without).max(-1) > 0.05)[1]
        return (columns.mean() + 0.5) / 48 - 1

    assert across(90) == pytest.approx(0, abs=0.04)
    assert across(60) > 0.1
    assert across(120) < -0.1


def test_a_palette_changes_colours_and_no_shape(cup, renderer):
    """An option is the same cup in other colours: nothing is compiled again."""
    shot = pipeline.Shot(120, 160, samples=2, transparent=True)
    other = cup.with_palette("storm-silver")
    one, two = (pipeline.render_cup(c, shot, renderer).rgba8_srgb for c in (cup, other))

    assert other.model is cup.model
    assert other.design.fingerprint != cup.design.fingerprint
    np.testing.assert_array_equal(one[..., 3], two[..., 3])
    assert np.abs(one[..., :3].astype(int) - two[..., :3]).max() > 60


@pytest.mark.parametrize(("name", "turn_deg"), [("demo-front", 0.0), ("demo-back", 180.0)])
def test_the_demo_looks_as_it_was_accepted(cup, renderer, name, turn_deg):
    shot = pipeline.Shot(240, 320, turn_deg=turn_deg, samples=16)

    assert_looks_like(name, pipeline.render_cup(cup, shot, renderer).rgba8_srgb)


def test_long_gaps_of_bare_steel_are_drawn(renderer):
    """A straight run of bare steel longer than a slice of the cup is no obstacle."""
    design = read_design(DEMO)
    blank = design.document.blank.model_copy(update={"rim_gap_mm": 30.0, "foot_gap_mm": 25.0})
    document = design.document.model_copy(update={"blank": blank})
    tall = pipeline.build_cup(type(design)(document, design.palettes, design.assets))

    picture = pipeline.render_cup(tall, pipeline.Shot(60, 80, samples=1), renderer)

    assert picture.rgba8_srgb.shape == (80, 60, 3)


def _clear(*layers):
    """A clear film by (index, nm) of its layers."""
    return FilmSwatch(metal="none", layers=[FilmLayer(n=n, thickness_nm=nm) for n, nm in layers])


def _dressed(cup, roles):
    """The demo's cup with other swatches in some roles."""
    palette = cup.design.palette
    palette = palette.model_copy(update={"roles": {**palette.roles, **roles}})
    return replace(cup, design=replace(cup.design, palettes={palette.name: palette}))


PEARL, SHIMMER = (
    _clear((2.4, 70), (1.46, 120), (2.4, 70)),
    _clear((2.4, 60), (1.46, 260), (2.4, 60)),
)
RAINBOW = {"lettering": HologramSwatch(), "glitter-pale": HologramSwatch()}
IRIDESCENT = {
    "base": PigmentSwatch(srgb="#e9e4da"),
    "glitter-deep": SHIMMER,
    "glitter-mid": SHIMMER,
    "glitter-pale": PEARL,
    "lettering": SHIMMER,
    "backing": MetalSwatch(
        metal="gold", specular_roughness_anisotropy=0.8, specular_roughness=0.4, brushed="upright"
    ),
}


@pytest.mark.parametrize(
    ("name", "roles", "light"),
    [("holographic", RAINBOW, "evening"), ("iridescent", IRIDESCENT, "softbox")],
)
def test_gratings_films_and_brushed_metal_look_as_they_were_accepted(
    cup, renderer, name, roles, light
):
    shot = pipeline.Shot(240, 320, turn_deg=6.0, samples=16)
    seen = pipeline.render_cup(_dressed(cup, roles), shot, renderer, light=light)

    assert_looks_like(name, seen.rgba8_srgb)


def test_a_palette_may_ask_for_other_programs(cup, renderer):
    """Holographic and clear lettering on the same maps, and the first picture back again."""
    shot = pipeline.Shot(60, 80, samples=4)

    def drawn(**roles):
        return pipeline.render_cup(_dressed(cup, roles), shot, renderer).rgba8_srgb

    first, again = drawn(), [drawn(lettering=HologramSwatch()), drawn(lettering=PEARL), drawn()]

    assert [np.array_equal(first, other) for other in again] == [False, False, True]
    assert not np.array_equal(again[0], again[1])
