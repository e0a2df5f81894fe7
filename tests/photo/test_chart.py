"""A chart of 24 patches is found as it lies, and tells what the camera gets wrong."""

import numpy as np
import pytest

from mockup.colorimetry.chart import chart_reflectances
from mockup.colorimetry.difference import delta_e_2000, lab_from_linear_srgb
from mockup.colorimetry.spectra import linear_srgb_from_reflectance, linear_srgb_weights
from mockup.errors import PhotoError
from mockup.photo.chart import find_chart, fit_chart
from mockup.photo.measure import Setting, measure
from mockup.photo.picture import open_photo
from mockup.photo.plane import UNIT_SQUARE, homography, through
from tests.photo.scenes import (
    Faults,
    fall_off,
    inside,
    photo_of,
    saved,
    smooth_spectra,
    table_spectrum,
)

SIZE = (480, 360)
LYING = np.array([[60.0, 50.0], [360.0, 58.0], [352.0, 262.0], [64.0, 250.0]])
FRAME = 25  # of the spectra: the chart's black rim


def chart_labels(corners, size=SIZE):
    """Patches 1 to 24 in a black frame 25, table 0, at the middles of half pixels."""
    xs, ys = (np.arange(2 * side) / 2 - 0.25 for side in size)
    x, y = np.meshgrid(xs, ys)
    labels = np.zeros(x.shape, int)
    on_chart = inside(corners, x, y)
    grid = through(homography(corners, UNIT_SQUARE * [6, 4]), np.stack([x, y], -1))
    cell = np.floor(grid).astype(int)
    within = (np.abs(grid - cell - 0.5) < 0.42).all(-1)
    labels[on_chart] = FRAME
    patch = on_chart & within
    labels[patch] = 1 + cell[patch][:, 1] * 6 + cell[patch][:, 0]
    return labels


def chart_photo(folder, corners=LYING, light="D65", faults=None, extra=None, seed=1):
    spectra = [table_spectrum(), *chart_reflectances(), np.full(81, 0.025)]
    labels = chart_labels(corners)
    if extra is not None:
        (left, top, right, bottom), paint = extra
        labels[2 * top : 2 * bottom, 2 * left : 2 * right] = len(spectra)
        spectra.append(paint)
    rng = np.random.default_rng(seed)
    data = photo_of(labels, np.stack(spectra), light, rng, faults or Faults())
    return open_photo(saved(folder, data))


@pytest.mark.parametrize("turns", [0, 1, 2, 3])
def test_the_chart_is_found_however_it_is_turned(tmp_path, turns):
    corners = LYING if turns % 2 == 0 else LYING[:, ::-1][[0, 3, 2, 1]]
    photo = chart_photo(tmp_path, np.roll(corners, -turns, axis=0))

    chart = find_chart(photo.linear)

    assert chart.quarter_turns == turns
    px_from_chart = homography(UNIT_SQUARE * [6, 4], np.roll(corners, -turns, axis=0))
    columns, rows = np.meshgrid(np.arange(6) + 0.5, np.arange(4) + 0.5)
    truth = through(px_from_chart, np.stack([columns, rows], -1).reshape(-1, 2))
    assert np.abs(chart.at_px - truth).max() < 1.5


def test_a_chart_is_found_by_its_corners_too(tmp_path):
    photo = chart_photo(tmp_path)

    by_itself, told = find_chart(photo.linear), find_chart(photo.linear, LYING)

    np.testing.assert_allclose(told.rgb, by_itself.rgb, rtol=0.03, atol=2e-3)


def test_what_is_no_chart_is_none(tmp_path):
    squares = np.kron(np.indices((4, 6)).sum(0) % 2, np.ones((70, 70)))
    picture = np.pad(0.2 + 0.5 * squares, 40, constant_values=0.1)[..., None] * np.ones(3)

    assert find_chart(picture.astype(np.float32)) is None
    assert find_chart(np.full((300, 400, 3), 0.4, np.float32)) is None


@pytest.mark.parametrize("light", ["D65", "A", "LED-B3"])
def test_the_cameras_own_errors_are_taken_away(tmp_path, light):
    """Patches by the chart's white, tone and matrix are nearer to their colours than by white.

    A matrix makes no observer of a sensor, so that something is left.
    """
    photo = chart_photo(tmp_path, light=light, faults=Faults(tone=1.12))
    chart = find_chart(photo.linear)

    fit = fit_chart(chart, light, SIZE)

    truth = lab_from_linear_srgb(chart_reflectances() @ linear_srgb_weights(light))
    by_white = chart.rgb / (chart.rgb[18] / (chart_reflectances()[18] @ linear_srgb_weights(light)))
    straight = chart.rgb ** (1 / fit.tone) / fit.fall_off.white(chart.at_px) @ fit.matrix.T
    plain, better = (
        np.median(delta_e_2000(lab_from_linear_srgb(rgb), truth)) for rgb in (by_white, straight)
    )
    assert fit.tone == pytest.approx(1.12, abs=0.04)
    assert better < 2.0
    assert better < 0.75 * plain


@pytest.mark.parametrize("light", ["D65", "A", "LED-B3"])
def test_light_beside_the_chart_is_right_to_two_hundredths(tmp_path, light):
    """The lens darkens the corners, the light comes from one side, and the camera has its tone."""
    faults = Faults(tone=1.08, vignette=0.2, slope=(0.1, -0.05))
    chart = find_chart(chart_photo(tmp_path, light=light, faults=faults).linear)

    white = fit_chart(chart, light, SIZE).fall_off.white([[415.0, 95.0], [210.0, 150.0]])

    truth = fall_off(*SIZE, faults)
    beside, on_chart = white.mean(axis=1)
    assert beside / on_chart == pytest.approx(truth[95, 415] / truth[150, 210], rel=0.02)


def test_white_stays_white(tmp_path):
    fit = fit_chart(find_chart(chart_photo(tmp_path).linear), "D65", SIZE)

    np.testing.assert_allclose(fit.matrix @ np.ones(3), 1.0, atol=5e-3)


PLACE = (385, 60, 455, 130)


def _paint_by(reference, folder, paint, light, seed):
    """Error of a paint that is measured beside a chart in a camera with a tone of its own."""
    photo_path = folder / "photo.jpg"
    chart_photo(folder, light=light, faults=Faults(tone=1.08), extra=(PLACE, paint), seed=seed)
    place = "{},{},{},{}".format(*(v + d for v, d in zip(PLACE, (6, 6, -6, -6), strict=True)))
    measured = measure([photo_path], "paint", reference(place, light))
    shown = linear_srgb_from_reflectance(
        measured.swatches[0].swatch.nm, measured.swatches[0].swatch.reflectance
    )
    truth = paint @ linear_srgb_weights("D65")
    error = float(delta_e_2000(*(lab_from_linear_srgb(rgb) for rgb in (shown, truth))))
    return error, measured.swatches[0].delta_e


def test_paint_beside_a_chart_is_right_to_two_and_surer(tmp_path):
    paints = smooth_spectra(np.random.default_rng(12), 10)
    found = [
        _paint_by(
            lambda place, light: Setting(places=(place,), light=light),
            tmp_path, paint, ("D65", "A", "LED-B3")[i % 3], i,
        )
        for i, paint in enumerate(paints)
    ]  # fmt: skip
    errors, stated = np.array(found).T

    assert np.median(errors) <= 2.0
    assert (errors <= stated).mean() >= 0.9
    assert np.median(stated) < 4.0


def test_a_chart_upside_down_is_read_and_told(tmp_path):
    chart_photo(tmp_path, np.roll(LYING, -2, axis=0), extra=(PLACE, np.full(81, 0.3)))

    measured = measure(
        [tmp_path / "photo.jpg"], "paint", Setting(places=("391,66,449,124",), light="D65")
    )

    assert measured.words[0] == "The chart in photo.jpg is upside down; it was read as it lies."


def test_a_chart_that_is_not_there_is_told(tmp_path):
    chart_photo(tmp_path, extra=((50, 40, 370, 270), np.full(81, 0.3)))

    with pytest.raises(PhotoError, match="no chart of 24 patches found"):
        measure([tmp_path / "photo.jpg"], "paint", Setting(chart=True))
