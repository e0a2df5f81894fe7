"""A made cup of our renderer's, differing from its design in known ways, held against it."""

import copy
import json

import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image

from mockup.colorimetry.difference import delta_e_2000, lab_from_rgb8
from mockup.colorimetry.srgb import linear_from_rgb8, rgb8_from_hex
from mockup.design.write import write_design
from mockup.errors import PhotoError
from mockup.faces.cli import cli
from mockup.outputs.finished_words import decal_words, fade_words, role_words
from mockup.photo.camera import Pose, focal_px_from_35mm
from mockup.photo.lens import lens_told
from mockup.pipeline.cup import build_cup
from mockup.pipeline.finished import Told, hold_cup
from mockup.pipeline.orders import enter
from mockup.render.lights import WHITE_CARD
from mockup.store import open_store
from tests.photo.finished.scenes import TEXEL_MM, design_of, photographed

SIZE_PX = (600, 800)
TURN_RAD = 0.12
RISE_MM, TILT_DEG, ASIDE_MM, FADE_UP_MM = 2.0, 1.5, -1.5, 8.0
RADIUS_MM = 36.5
PROMISED, MADE = "#0d2348", "#1d3a6b"


def word(text, height_mm, angle_deg=0.0, **changes):
    place = {"height_mm": height_mm, "angle_deg": angle_deg, **changes}
    return {
        "kind": "decal", "name": text, "swatch": "vinyl", "text": text, "letter_height_mm": 12.0,
        "place": place,
    }  # fmt: skip


def layers():
    fade = {
        "shape": "fade", "from_mm": 15.0, "to_mm": 85.0, "coverage_from": 0.8, "coverage_to": 0.0,
    }  # fmt: skip
    return [
        {"kind": "base", "name": "base coat", "swatch": "base"},
        {
            "kind": "glitter", "name": "fade", "cut_mm": 0.4, "coverage": [fade],
            "mix": [{"swatch": "flake"}],
        },
        word("TIDE", 128.0),
        word("OAR", 104.0, 18.0),
        word("SEAT", 112.0, 180.0),
        {"kind": "coat", "thickness_mm": 1.0},
    ]  # fmt: skip


def made_layers():
    """OAR higher, aside and tilted; the fade higher up."""
    made = copy.deepcopy(layers())
    fade = made[1]["coverage"][0]
    fade["from_mm"] += FADE_UP_MM
    fade["to_mm"] += FADE_UP_MM
    made[3]["place"] |= {
        "height_mm": 104.0 + RISE_MM, "rotation_deg": TILT_DEG,
        "angle_deg": 18.0 + np.degrees(ASIDE_MM / RADIUS_MM),
    }  # fmt: skip
    return made


@pytest.fixture(scope="module")
def photo(renderer):
    """What a phone would see of it, by a lens of 52 mm, from 20° above."""
    cup = build_cup(design_of("straight", made_layers(), MADE), texel_mm=TEXEL_MM)
    focal = focal_px_from_35mm(52.0, SIZE_PX)
    pose = Pose(560.0, 0.35, 0.03, (330.0, 390.0), focal, SIZE_PX, cup.blank.lip_z_mm / 2)
    rng = np.random.default_rng(3)
    return photographed(cup, pose, TURN_RAD, renderer, rng, samples=9)


@pytest.fixture(scope="module")
def held(photo, renderer):
    light = linear_from_rgb8(photo)
    design = design_of("straight", layers(), PROMISED)
    white = light / np.float32(WHITE_CARD)
    return hold_cup(
        design, light, white, lens_told(52, "EXIF"), renderer, told=Told(), name="cup.jpg"
    )


def test_the_turn_is_found_from_the_decoration(held):
    """To half a millimetre round the cup."""
    assert held.facts.turn.sure
    assert np.radians(held.facts.turn_deg) == pytest.approx(TURN_RAD, abs=0.5 / RADIUS_MM)


def test_lettering_is_placed_within_a_millimetre_and_a_degree(held):
    """The one that was moved, and the one that was not; the one at the back is not seen."""
    tide, oar, seat = held.facts.decals

    assert (oar.placed.up_mm, oar.sideways_mm) == pytest.approx((RISE_MM, ASIDE_MM), abs=0.6)
    assert oar.placed.tilt_deg == pytest.approx(TILT_DEG, abs=0.6)
    assert tide.sideways_mm == pytest.approx(-ASIDE_MM, abs=0.6)  # against OAR, all there is
    assert (tide.placed.up_mm, tide.placed.tilt_deg) == pytest.approx((0, 0), abs=0.6)
    assert seat.placed is None
    assert "higher, 1." in decal_words(oar)
    assert "further left among the rest, tilted 1." in decal_words(oar)
    assert decal_words(tide) == "“TIDE” sits 1.4 mm further right among the rest against the proof."
    assert "not seen well enough" in decal_words(seat)


def test_a_straight_cup_on_its_head_is_told_by_its_lettering(renderer):
    """Seen from its own height its outline is the same either way."""
    cup = build_cup(design_of("straight", layers(), PROMISED), texel_mm=TEXEL_MM)
    focal = focal_px_from_35mm(60.0, SIZE_PX)
    pose = Pose(640.0, 0.12, 0.0, (300.0, 390.0), focal, SIZE_PX, cup.blank.lip_z_mm / 2)
    rgb8_srgb = photographed(cup, pose, 0.2, renderer, np.random.default_rng(4))
    light = linear_from_rgb8(np.ascontiguousarray(np.rot90(rgb8_srgb, 2)))

    with pytest.raises(PhotoError, match="upside down in this photo"):
        hold_cup(
            cup.design, light, light / np.float32(WHITE_CARD), lens_told(60, "EXIF"), renderer,
            told=Told(), name="cup.jpg",
        )  # fmt: skip


def test_a_paint_of_another_colour_is_told_by_as_much_as_it_differs(held):
    """ΔE00 of the two paints dry is the yardstick; a coat darkens both, so a third is allowed."""
    roles = {role.role: role for role in held.facts.roles}
    labs = [lab_from_rgb8(rgb8_from_hex(code)) for code in (PROMISED, MADE)]
    dry = float(delta_e_2000(*labs))

    assert roles["base"].pair.delta_e == pytest.approx(dry, rel=0.35)
    assert "lighter" in role_words(roles["base"])
    assert roles["vinyl"].pair.delta_e < 2.0
    assert "as promised" in role_words(roles["vinyl"])


def test_the_fade_is_found_higher_by_as_much_as_it_was_laid(held):
    """Cover is taken from colour: within 6 % at its densest, 5 % or 4 mm of its run at half."""
    fade = held.facts.fade
    promised, finished = fade.half_mm()

    assert promised == pytest.approx(50.0, abs=3.0)
    assert finished - promised == pytest.approx(FADE_UP_MM, abs=4.0)
    assert fade.finished[3:5] == pytest.approx([0.8, 0.8], abs=0.06)
    assert "higher than promised" in fade_words(fade)


def test_figures_are_plain_json_and_every_part_has_its_sentence(held):
    told = held.as_json()

    assert json.loads(json.dumps(told)) == told
    assert len(held.sentences) == len(held.facts.roles) + len(held.facts.decals) + 1
    assert all(sentence.endswith(".") for sentence in held.sentences)
    assert min(held.picture.shape[:2]) > 1000


def with_card(photo):
    """The photo with a grey card beside the cup, as light as its reflectance against white."""
    codes = np.arange(256, dtype=np.uint8)
    code = np.interp(0.18 * WHITE_CARD, linear_from_rgb8(codes), codes)
    shown = photo.copy()
    rng = np.random.default_rng(1)
    shown[640:730, 30:172] = np.clip(code + rng.normal(0, 1, (90, 142, 3)), 0, 255)
    return shown


def test_an_order_keeps_its_photo_and_a_photo_without_a_card_leaves_nothing(photo, tmp_path):
    """By the command, from files, by a card of 18 %."""
    design = tmp_path / "design"
    write_design(design_of("straight", layers(), PROMISED), design)
    Image.fromarray(with_card(photo)).save(tmp_path / "cup.jpg", quality=92)
    Image.fromarray(photo).save(tmp_path / "bare.jpg", quality=92)
    url = f"sqlite:///{tmp_path}/orders.sqlite"
    with open_store(url) as store:
        order = enter(store, design, customer="Wen Harbour").order.id
    picture = tmp_path / "held.png"

    def held_by_command(name, *more):
        words = ["finished", str(order), str(tmp_path / name), "--lens", "52", "-o", str(picture)]
        return CliRunner(env={"TUMBLER_MOCKUP_STORE": url}).invoke(cli, [*words, *more])

    refused = held_by_command("bare.jpg")
    with open_store(url) as store:
        assert store.finished.of_order(order) == ()
    assert refused.exit_code == 1
    assert "card" in refused.stderr
    assert not picture.exists()

    given = (tmp_path / "cup.jpg").rename(tmp_path / "cup.png")
    over = held_by_command("cup.png", "-o", str(given))
    assert "this is the photo itself" in over.stderr
    given.rename(tmp_path / "cup.jpg")

    done = held_by_command("cup.jpg", "--corners", "30,640,171,640,171,729,30,729")
    assert done.exit_code == 0, done.output
    with open_store(url) as store:
        (kept,) = store.finished.of_order(order)
        assert store.finished.photo_of(kept) == (tmp_path / "cup.jpg").read_bytes()
        assert store.finished.picture_of(kept) == picture.read_bytes()
    assert "“OAR” sits" in done.output
    assert kept.facts["decals"][1]["up_mm"] == pytest.approx(RISE_MM, abs=0.6)
    assert kept.fingerprint == design_of("straight", layers(), PROMISED).fingerprint


def test_a_cup_without_marks_round_it_says_so(renderer):
    """A plain cup: the front is taken, and told."""
    design = design_of("tapered", [{"kind": "base", "swatch": "base"}], PROMISED)
    cup = build_cup(design, texel_mm=1.0)
    focal = focal_px_from_35mm(52.0, SIZE_PX)
    pose = Pose(620.0, 0.3, 0.0, (300.0, 400.0), focal, SIZE_PX, cup.blank.lip_z_mm / 2)
    photo = linear_from_rgb8(photographed(cup, pose, 0.0, renderer, np.random.default_rng(2)))

    held = hold_cup(
        design, photo, photo / np.float32(WHITE_CARD), lens_told(52, ""), renderer, told=Told(),
        name="plain.jpg",
    )  # fmt: skip

    assert held.facts.turn is None
    assert "does not tell which side" in held.facts.notes[0]
    assert held.facts.roles[0].pair.delta_e < 2.0
    with pytest.raises(PhotoError, match="no cup of this shape"):
        hold_cup(
            design, np.full_like(photo, 0.3), photo, lens_told(52, ""), renderer, told=Told(),
            name="none.jpg",
        )  # fmt: skip
