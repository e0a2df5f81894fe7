"""Foil measured from two photos: held to facets that mirror a card, black cloth and a room."""

import numpy as np
import pytest

from mockup.colorimetry.difference import delta_e_2000, lab_from_linear_srgb
from mockup.colorimetry.spectra import linear_srgb_weights
from mockup.errors import PhotoError
from mockup.material.optics import compile_swatch
from mockup.material.spectrum import lacquer
from mockup.photo import sensor
from mockup.photo.card import CARD_MM, find_card
from mockup.photo.foil import Mirroring, card_share, measure_foil
from mockup.photo.lacquer import lacquer_swatch, metal_spectrum
from mockup.photo.picture import open_photo
from mockup.photo.told import Area
from tests.photo.scenes import (
    CARD,
    GREY,
    USUAL_CAMERA,
    any_camera,
    camera_weights,
    developed,
    saved,
    scene_labels,
)
from tests.photo.test_swatch import LIGHTS, usual_faults

SIZE, SPOT = (200, 150), (130, 35, 175, 80)
PLACE = Area(133, 38, 172, 77)
CLOTH, FAR_MM = 0.03, 60.0
TINTS = ("#ffffff", "#d9a05c", "#c8707a", "#4c8fc4", "#63a06b", "#8a6fb0")


def mirrored(rng, roughness, level, room):
    """What foil shows at 45° of a card of that level before a room, white being 1.

    GGX facets drawn by their own law and weighted to the view (Walter et al. 2007, eq. 35 to 41);
    the module under test draws the visible ones.
    """
    alpha, count = roughness**2, 20000
    u, v = rng.random((2, count))
    slope = alpha * np.sqrt(u / (1 - u))
    normal = np.stack([slope * np.cos(2 * np.pi * v), slope * np.sin(2 * np.pi * v)], -1)
    normal = np.concatenate([normal, np.ones((count, 1))], -1)
    normal /= np.linalg.norm(normal, axis=1, keepdims=True)
    view = np.array([1.0, 0.0, 1.0]) / np.sqrt(2)
    ray = 2 * (normal @ view)[:, None] * normal - view
    toward = np.maximum(normal @ view, 0)
    tangent2 = (ray[:, 0] ** 2 + ray[:, 1] ** 2) / np.maximum(ray[:, 2], 1e-9) ** 2
    masked = 2 / (1 + np.sqrt(1 + alpha**2 * tangent2))
    weight = toward / normal[:, 2] * masked * (ray[:, 2] > 0)
    ahead, up = np.array([-1.0, 0.0, 1.0]) / np.sqrt(2), view
    along = ray @ ahead
    hits = (along > 0) & (np.abs(ray[:, 1]) * FAR_MM <= along * CARD_MM[0] / 2)
    hits &= np.abs(ray @ up) * FAR_MM <= along * CARD_MM[1] / 2
    around = 1 + room[0] * ray[:, 0] + room[1] * ray[:, 1]
    lost = weight / (toward / normal[:, 2]).sum()
    return float((lost * np.where(hits, level, around)).sum())


def _photos(folder, tint, roughness, illuminant, rng, camera=USUAL_CAMERA):
    labels, room = scene_labels(size=SIZE, card=CARD / 2, patch=SPOT), rng.normal(0, 0.2, 2)
    weights = camera_weights(illuminant, camera)
    colour = (metal_spectrum("aluminium") * lacquer(tint)) @ weights
    found = []
    for level in (GREY, CLOTH):
        foil = colour * mirrored(rng, roughness, level, room)
        light = np.stack([np.full(3, 0.45), np.full(3, GREY), foil])[labels]
        data = developed(light, rng, usual_faults(rng))
        photo = open_photo(saved(folder, data, f"{level}.jpg"))
        found.append(Mirroring(photo, find_card(photo, CARD / 2), PLACE))
    return found


def measured_foils(folder, count):
    """(tint, roughness, measured) of random foils and cameras."""
    rng, cameras, found = np.random.default_rng(3), np.random.default_rng(4), []
    for i in range(count):
        tint, light = TINTS[i // 3 % len(TINTS)], LIGHTS[i % 3]
        roughness = rng.uniform(0.15, 0.5)
        pair = _photos(folder, tint, roughness, light, rng, any_camera(cameras))
        measured = measure_foil(
            *pair, reflectance=GREY, dark=CLOTH, distance_mm=FAR_MM, light=light
        )
        found.append((tint, roughness, measured))
    return found


@pytest.fixture(scope="module")
def cases(tmp_path_factory):
    return measured_foils(tmp_path_factory.mktemp("foil"), 36)


def tint_error(tint, measured):
    truth = (metal_spectrum("aluminium") * lacquer(tint)) @ linear_srgb_weights("D65")
    shown = compile_swatch(measured.swatches[0].swatch).reflectance_bare
    return float(delta_e_2000(*(lab_from_linear_srgb(rgb) for rgb in (truth, shown))))


def test_the_tint_is_right_to_three(cases):
    assert np.median([tint_error(tint, measured) for tint, _, measured in cases]) <= 3.0


def test_what_is_stated_holds_tint_and_roughness(cases):
    tints = [tint_error(tint, one) <= one.swatches[0].delta_e for tint, _, one in cases]
    figures = [(one.figures["specular_roughness"], roughness) for _, roughness, one in cases]

    assert np.mean(tints) >= 0.9
    assert np.mean([abs(told.value - truth) <= told.within for told, truth in figures]) >= 0.9


def test_roughness_is_near(cases):
    apart = [abs(m.figures["specular_roughness"].value - truth) for _, truth, m in cases]

    assert np.median(apart) < 0.05


def test_a_foil_is_metal_as_the_design_writes_it(cases):
    swatch = cases[0][2].swatches[0].swatch

    assert swatch.kind == "metal"
    assert swatch.specular_roughness == pytest.approx(
        cases[0][2].figures["specular_roughness"].value, abs=1e-3
    )
    assert "foil from" in swatch.source


def test_rough_foil_is_told_to_lie_nearer_to_the_card(cases):
    told = {
        roughness: any("Nearer to the card" in word for word in one.words)
        for _, roughness, one in cases
    }

    assert all(told[roughness] for roughness in told if roughness > 0.4)
    assert not any(told[roughness] for roughness in told if roughness < 0.2)


@pytest.mark.parametrize("roughness", [0.2, 0.35, 0.5])
def test_the_cards_share_of_a_lobe_is_the_same_by_another_way(roughness):
    rng = np.random.default_rng(9)
    all_of_it, beside = (mirrored(rng, roughness, level, (0, 0)) for level in (1.0, 0.0))

    assert card_share(roughness, FAR_MM) == pytest.approx(1 - beside / all_of_it, abs=0.02)


@pytest.mark.parametrize("metal", ["aluminium", "copper", "gold", "silver"])
def test_a_lacquer_is_found_again_on_each_metal(metal):
    colour = (metal_spectrum(metal) * lacquer("#c8707a")) @ sensor.camera_weights("A")

    found = lacquer_swatch(colour, np.zeros((3, 3)), ("A",), source="law", metal=metal)

    assert found.swatch.metal == metal
    assert found.swatch.tint_srgb == "#c8707a"


def test_foil_that_shows_the_same_twice_is_told(tmp_path):
    pair = _photos(tmp_path, "#ffffff", 0.3, "D65", np.random.default_rng(1))

    with pytest.raises(PhotoError, match="shows the same in both photos"):
        measure_foil(pair[0], pair[0], reflectance=GREY, light="D65")
