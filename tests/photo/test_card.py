"""The card is found where it lies; what a photo cannot tell is refused, each fault in its words."""

import numpy as np
import pytest
from PIL import Image, ImageDraw

from mockup.colorimetry.chart import chart_reflectances
from mockup.colorimetry.difference import delta_e_2000, lab_from_linear_srgb
from mockup.colorimetry.spectra import linear_srgb_weights
from mockup.errors import PhotoError
from mockup.photo.card import corrected, find_card
from mockup.photo.picture import open_photo
from mockup.photo.plane import through
from tests.photo.scenes import (
    CARD,
    GREY,
    PATCH,
    USUAL,
    USUAL_CAMERA,
    Faults,
    any_camera,
    camera_weights,
    developed,
    photo_of,
    saved,
    scene_labels,
    table_spectrum,
)

PAINT = 0.12 + 0.3 / (1 + np.exp((np.arange(81) - 34) / 8.0))  # sea glass


def _spectra(paint=PAINT):
    return np.stack([table_spectrum(), np.full(81, GREY), paint])


def _photo(tmp_path, *, faults=USUAL, illuminant="D65", labels=None, paint=PAINT, seed=1):
    labels = scene_labels() if labels is None else labels
    rng = np.random.default_rng(seed)
    return open_photo(saved(tmp_path, photo_of(labels, _spectra(paint), illuminant, rng, faults)))


def _card_light(tmp_path, change):
    """A photo whose light over the card is multiplied by `change` of x from 0 to 1 along it."""
    labels = scene_labels()
    light = np.array([[0.5, 0.4, 0.3], [GREY] * 3, [0.1, 0.2, 0.3]])[labels]
    x = np.clip((np.arange(labels.shape[1]) / 2 - 60) / 160, 0, 1)
    data = developed(light * change(x), np.random.default_rng(3), Faults(balance=(1, 1, 1)))
    return open_photo(saved(tmp_path, data))


@pytest.mark.parametrize("illuminant", ["D65", "A", "LED-B3"])
def test_the_card_is_found_to_half_a_pixel(tmp_path, illuminant):
    card = find_card(_photo(tmp_path, illuminant=illuminant))

    assert np.abs(card.corners_px - CARD).max() < 0.5


def test_the_card_lying_turned_and_in_perspective_is_found(tmp_path):
    corners = np.array([[120.0, 40.0], [230.0, 70.0], [190.0, 250.0], [60.0, 200.0]])
    photo = _photo(tmp_path, labels=scene_labels(card=corners, patch=(300, 40, 370, 110)))

    card = find_card(photo)

    assert np.abs(card.corners_px - corners).max() < 0.6
    assert card.size_mm[0] < card.size_mm[1]


def test_the_cards_size_gives_the_scale(tmp_path):
    card = find_card(_photo(tmp_path), size_mm=(80.0, 50.0))

    np.testing.assert_allclose(
        through(card.mm_from_px, CARD), [[0, 0], [80, 0], [80, 50], [0, 50]], atol=0.3
    )
    assert card.px_per_mm == pytest.approx(2.0, rel=0.02)


def test_white_and_fall_off_are_taken_away(tmp_path):
    """The table's own reflectance comes back from all over the picture, its corners too."""
    photo = _photo(tmp_path)
    found = corrected(photo, find_card(photo), GREY)
    table = table_spectrum()

    truth = table @ camera_weights("D65")
    places = [(10, 10), (390, 10), (10, 290), (390, 290), (200, 200), (240, 60)]
    for x, y in places:
        seen = found.rgb[y - 8 : y + 8, x - 8 : x + 8][:16, :16].mean((0, 1))
        spread = np.sqrt(np.diag(found.covariance((x, y))))
        assert (np.abs(np.log(seen / truth)) < 3 * spread).all()
        assert spread.max() < 0.12


def test_beside_the_card_exposure_is_right_to_three_per_cent(tmp_path):
    photo = _photo(tmp_path)

    found = corrected(photo, find_card(photo), GREY)

    left, top, right, bottom = PATCH

    seen = found.rgb[top + 5 : bottom - 5, left + 5 : right - 5].mean((0, 1))
    np.testing.assert_allclose(seen, PAINT @ camera_weights("D65"), rtol=0.03)


def test_a_photo_without_a_card_is_told(tmp_path):
    photo = _photo(tmp_path, labels=scene_labels(card=None))

    with pytest.raises(PhotoError, match=r"photo\.jpg: no card found in this photo\. Lay a"):
        find_card(photo)


def _dog():
    """Shaggy fur, two eyes, a nose, a meadow."""
    rng = np.random.default_rng(8)
    image = Image.new("RGB", (800, 600), "#7f9a52")
    draw = ImageDraw.Draw(image)
    for _ in range(3000):
        x, y = rng.uniform(0, 800), rng.uniform(0, 600)
        green = int(rng.integers(90, 190))
        draw.line((x, y, x + rng.normal(0, 4), y - 25), fill=(green - 40, green, 40), width=2)
    for _ in range(16000):
        turn, far = rng.uniform(0, 2 * np.pi), np.sqrt(rng.uniform())
        x, y = 400 + 210 * far * np.cos(turn), 300 + 220 * far * np.sin(turn)
        shade = int(rng.integers(60, 200))
        hair = rng.normal(0, 14, 2)
        fur = (shade, int(shade * 0.8), int(shade * 0.6))
        draw.line((x, y, x + hair[0], y + 18 + hair[1]), fill=fur, width=2)
    for x, y, r in ((320, 240, 22), (480, 240, 22), (400, 350, 40)):
        draw.ellipse((x - r, y - r, x + r, y + r), fill="#14100c")
        draw.ellipse((x - r / 3, y - r / 2, x, y - r / 5), fill="#f0f0f0")
    return image


def test_a_dog_is_no_card(tmp_path):
    _dog().save(tmp_path / "dog.jpg", quality=85)

    with pytest.raises(PhotoError, match="no card found"):
        find_card(open_photo(tmp_path / "dog.jpg"))


def test_a_clipped_card_is_told(tmp_path):
    photo = _photo(tmp_path, faults=Faults(exposure=6.0))

    with pytest.raises(PhotoError, match="the card is clipped"):
        find_card(photo, CARD)


def test_an_underexposed_photo_is_told(tmp_path):
    photo = _photo(tmp_path, faults=Faults(exposure=0.03))

    with pytest.raises(PhotoError, match="underexposed"):
        find_card(photo, CARD)


def test_two_lights_are_told(tmp_path):
    """Daylight from the left, a lamp from the right: red grows, blue falls along the card."""
    photo = _card_light(
        tmp_path, lambda x: np.stack([1 + 0.15 * x, np.ones_like(x), 1 - 0.2 * x], -1)
    )

    with pytest.raises(PhotoError, match="two lights of different colour"):
        corrected(photo, find_card(photo, CARD), GREY)


def test_a_green_wall_nearby_is_told(tmp_path):
    photo = _card_light(
        tmp_path, lambda x: np.stack([np.ones_like(x), 1 + 0.18 * x**2, 1 + 0.02 * x], -1)
    )

    with pytest.raises(PhotoError, match="coloured wall"):
        corrected(photo, find_card(photo, CARD), GREY)


def test_a_shadow_across_the_card_is_told(tmp_path):
    photo = _card_light(
        tmp_path, lambda x: np.repeat(np.where(x > 0.4, 1.0, 0.7)[:, None], 3, axis=1)
    )

    with pytest.raises(PhotoError, match="a shadow or a reflection"):
        corrected(photo, find_card(photo, CARD), GREY)


def test_one_light_that_falls_off_is_no_fault(tmp_path):
    photo = _card_light(tmp_path, lambda x: np.repeat(1 - 0.25 * x[:, None], 3, axis=1))

    corrected(photo, find_card(photo, CARD), GREY)


def test_an_upside_down_photo_is_told_by_the_corners(tmp_path):
    photo = _photo(tmp_path)
    turned = CARD[[2, 3, 0, 1]]

    with pytest.raises(PhotoError, match="this photo is upside down"):
        find_card(photo, turned)


@pytest.mark.parametrize(
    ("corners", "told"),
    [
        (CARD[:3], "four of them"),
        (CARD + 250, "outside the picture"),
        (CARD[[0, 2, 1, 3]], "do not go round"),
        (np.array([[60, 60], [62, 60], [62, 62], [60, 62.0]]), "no quadrilateral"),
    ],
)
def test_corners_that_cannot_be_are_told(tmp_path, corners, told):
    with pytest.raises(PhotoError, match=told):
        find_card(_photo(tmp_path), corners)


def test_two_grey_cards_are_asked_about(tmp_path):
    labels = scene_labels()
    other = scene_labels(card=CARD + np.array([0, 125]), patch=None)
    photo = _photo(tmp_path, labels=np.where(other == 1, 1, labels))

    with pytest.raises(PhotoError, match="more than one grey area"):
        find_card(photo)


@pytest.mark.parametrize(("light", "of_26"), [("D65", 0.88), ("A", 1.11), ("LED-B3", 0.70)])
def test_the_cameras_of_the_tests_are_no_better_than_those_that_were_measured(light, of_26):
    """Median ΔE00 of a chart's patches: that of the median of 26 measured cameras, or more.

    Their sensitivities: Jiang et al. (2013), each with a matrix fitted as ours are.
    """

    def error(camera):
        a, b = (
            lab_from_linear_srgb(chart_reflectances() @ weights)
            for weights in (camera_weights(light, camera), linear_srgb_weights(light))
        )
        return np.median(delta_e_2000(a, b))

    rng = np.random.default_rng(6)

    assert error(USUAL_CAMERA) >= of_26
    assert np.median([error(any_camera(rng)) for _ in range(40)]) >= of_26
