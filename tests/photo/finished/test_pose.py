"""The camera from a cup's outline, held to the camera that our renderer had."""

from dataclasses import replace

import numpy as np
import pytest
from PIL import Image
from scipy.ndimage import binary_erosion
from scipy.spatial.distance import cdist

from mockup.colorimetry.srgb import linear_from_rgb8
from mockup.errors import PhotoError
from mockup.photo.camera import Pose
from mockup.photo.lens import Lens, lens_of, lens_told, lens_unknown
from mockup.photo.outline import half_section, outline_seen
from mockup.photo.stand import find_cup
from mockup.pipeline.cup import build_cup
from tests.photo.finished.scenes import (
    PAINTS,
    design_of,
    equivalent_mm,
    jpeg,
    random_scene,
    request_for,
)

SIZE_PX = (300, 400)


@pytest.fixture(scope="module")
def scenes(renderer):
    """Two straight, two tapered and two free-profile cups; the statistic of 50 is in the bench."""
    return [random_scene(seed, renderer) for seed in range(6)]


def stand_in(scene, **changes):
    lens = changes.get("lens") or Lens(equivalent_mm(scene.pose), 0.001, "measured")
    blank = changes.get("blank") or scene.cup.blank
    rgb8_srgb = changes.get("rgb8_srgb", scene.rgb8_srgb)
    return find_cup(linear_from_rgb8(np.ascontiguousarray(rgb8_srgb)), blank, lens, where="cup.jpg")


def test_the_camera_is_found_within_one_percent_and_one_degree(scenes):
    """Distance, elevation and roll, by a lens that is known."""
    for scene in scenes:
        found = stand_in(scene)

        pose, truth = found.pose, scene.pose
        assert pose.distance_mm == pytest.approx(truth.distance_mm, rel=0.01)
        assert np.degrees(abs(pose.elevation_rad - truth.elevation_rad)) < 1.0
        assert np.degrees(abs(pose.roll_rad - truth.roll_rad)) < 1.0
        assert found.lid == scene.cup.blank.lid


@pytest.mark.parametrize("seed", [1, 37])
def test_without_exif_the_distance_is_as_sure_as_it_is_told(seed, renderer):
    """A long lens from afar looks nearly alike; the size in the picture holds all the same."""
    scene = random_scene(seed, renderer)
    found, truth = stand_in(scene, lens=lens_unknown()), scene.pose

    error = abs(np.log(found.pose.distance_mm / truth.distance_mm))
    scale = found.pose.focal_px / found.pose.distance_mm
    assert 0.002 < found.distance_sigma < 0.1
    assert error < 3 * found.distance_sigma
    assert scale == pytest.approx(truth.focal_px / truth.distance_mm, rel=0.01)


@pytest.mark.parametrize("kind", ["straight", "tapered", "curved"])
def test_the_outline_runs_round_what_the_renderer_fills(renderer, kind):
    """Worked out from the half section alone; a pixel and a quarter allow for its samples.

    Under the lid's edge the outline turns into a corner, where outward is the lid: 2 % of it.
    """
    cup = build_cup(design_of(kind, [{"kind": "base", "swatch": "base"}], lid=True), texel_mm=1.0)
    pose = Pose(700.0, 0.4, 0.05, (140.0, 210.0), 900.0, SIZE_PX, cup.blank.lip_z_mm / 2)
    drawn = renderer.draw(
        cup.model, request_for(cup, pose, 0.0, "softbox", 4), transparent=True
    ).rgba8_srgb[..., 3]

    seen = outline_seen(half_section(cup.blank), pose, step_px=2.0)

    for away, filled in ((-1.25, True), (1.25, False)):
        x, y = (seen.pixel + away * seen.normal).T.astype(int)
        assert ((drawn[y, x] > 127) == filled).mean() > 0.98
    filled = drawn > 127
    y, x = np.nonzero(filled & ~binary_erosion(filled))
    away = cdist(np.stack([x, y], axis=-1) + 0.5, seen.pixel).min(axis=1)
    assert away.max() < 6


def test_each_fault_of_a_photo_has_its_sentence(scenes):
    """Nothing there, turned, on its head, cut off."""
    scene = scenes[4]
    photo = scene.rgb8_srgb
    middle = int(scene.pose.middle_px[0])
    ground = np.broadcast_to(photo[:8, :8].mean(axis=(0, 1)).astype(np.uint8), photo.shape)
    for changed, words in (
        (np.rot90(photo), "lying on its side"),
        (np.rot90(photo, 2), "upside down"),
        (photo[:, : middle + 30], "beyond the photo's edge"),
        (ground, "no cup of this shape"),
    ):
        with pytest.raises(PhotoError, match=words):
            stand_in(scene, rgb8_srgb=changed)


def test_a_cup_that_is_small_tilted_or_seen_from_above_is_refused(renderer):
    """As our renderer shows it, on an even ground."""
    cup = build_cup(design_of("tapered", [{"kind": "base", "swatch": "base"}], PAINTS[1]))
    plain = Pose(740.0, 0.2, 0.0, (150.0, 200.0), 1200.0, SIZE_PX, cup.blank.lip_z_mm / 2)
    for pose, words in (
        (replace(plain, distance_mm=1200.0), "px tall"),
        (replace(plain, roll_rad=np.radians(21)), "leans by 2"),
        (replace(plain, elevation_rad=np.radians(57)), "from 5.° above"),
    ):
        drawn = renderer.draw(
            cup.model, request_for(cup, pose, 0.0, "softbox", 4), transparent=True
        ).rgba8_srgb
        share = drawn[..., 3:] / 255
        photo = jpeg((drawn[..., :3] * share + 190 * (1 - share)).astype(np.uint8))
        with pytest.raises(PhotoError, match=words):
            find_cup(
                linear_from_rgb8(photo), cup.blank, lens_told(equivalent_mm(pose), ""), where="p"
            )


def test_the_lens_is_read_from_exif_and_unknown_without(tmp_path):
    """FocalLengthIn35mmFilm, tag 0xA405 of EXIF 2.32."""
    image = Image.new("RGB", (80, 60))
    told = Image.Exif()
    told.get_ifd(0x8769)[0xA405] = 26
    image.save(tmp_path / "told.jpg", exif=told)
    image.save(tmp_path / "bare.jpg")

    lens = lens_of(tmp_path / "told.jpg")
    assert lens.focal_35mm == 26.0
    assert lens.focal_px((3000, 4000)) == pytest.approx(26 / 43.27 * 5000)
    assert lens.log_sigma == pytest.approx(0.29 / 26, rel=0.2)
    assert lens_of(tmp_path / "bare.jpg").log_sigma > 0.3
