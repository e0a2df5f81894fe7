"""Photos whose truth is known: spectra under an illuminant, through a camera that is not ours.

The camera's three sensitivities are Gaussians that no observer has, by the mean of cameras that
were measured or drawn from their spread. Its own matrix to sRGB is fitted for the illuminant on
patches of other spectra, as a maker of cameras does; its white balance is then off, its lens
darkens the corners, light and reading add noise, and the file is a JPEG of quality 85 with halved
chroma.

References
----------
Jiang, Liu, Gu & Süsstrunk (2013), What is the space of spectral sensitivity functions for digital
color cameras?, doi:10.1109/WACV.2013.6475015.
"""

import io
from dataclasses import dataclass
from functools import cache, lru_cache

import numpy as np
from PIL import Image

from mockup.colorimetry.spectra import illuminant_power, linear_srgb_weights, wavelengths_nm
from mockup.colorimetry.srgb import srgb_from_linear

GREY = 0.18
CARD = np.array([[60.0, 60.0], [220.0, 66.0], [216.0, 166.0], [62.0, 160.0]])
PATCH = (260, 70, 340, 150)  # left, top, right, bottom
SIZE = (400, 300)

# Peak and width (σ), nm, of red, green and blue: of Gaussians fitted to the photographers' cameras
# of Jiang et al., 26 of their 28: the mean, and the standard deviation from camera to camera.
_MEAN = ((605.0, 29.6), (532.9, 38.9), (464.7, 33.8))
_BETWEEN = ((5.1, 5.2), (2.9, 3.5), (3.2, 4.2))
# One of `any_camera`, which errs a little more than the median of the 26, in each light of tests.
USUAL_CAMERA = ((606.8, 33.9), (533.9, 34.3), (467.6, 35.7))


@dataclass(frozen=True)
class Faults:
    """What goes wrong between the scene and the file."""

    balance: tuple[float, float, float] = (1.12, 1.0, 0.86)
    exposure: float = 0.7  # linear code of a perfect white in the middle
    vignette: float = 0.18  # that corners lose
    slope: tuple[float, float] = (0.08, -0.04)  # of the light, over half the longer side
    full_well: float = 6000.0  # electrons of a pixel at linear code 1
    quality: int = 85
    blur_px: float = 0.6
    tone: float = 1.0  # exponent that the camera's own curve adds


USUAL = Faults()


def any_camera(rng):
    """A camera that differs from the mean as others do, at most by two standard deviations."""
    apart = np.clip(rng.standard_normal((3, 2)), -2, 2)
    return tuple(tuple(each) for each in (_MEAN + apart * _BETWEEN).tolist())


@lru_cache(maxsize=64)
def camera_weights(illuminant, camera=USUAL_CAMERA):
    """(81, 3): reflectance → linear sRGB as the camera's own matrix makes it; white is 1."""
    nm = wavelengths_nm()
    bands = [np.exp(-(((nm - peak) / width) ** 2) / 2) for peak, width in camera]
    sensor = np.stack(bands, -1) * illuminant_power(illuminant)[:, None]
    sensor /= sensor.sum(axis=0)
    training = smooth_spectra(np.random.default_rng(99), 400)
    raw, wanted = training @ sensor, training @ linear_srgb_weights(illuminant)
    heavy = np.vstack([raw, 1e3 * np.ones(3)])  # white exactly
    matrix = np.linalg.lstsq(heavy, np.vstack([wanted, 1e3 * np.ones(3)]), rcond=None)[0]
    return sensor @ matrix


def smooth_spectra(rng, count):
    """Reflectances of paints: logistic functions of a cubic in wavelength, (count, 81).

    Jakob & Hanika (2019), doi:10.1111/cgf.13626, use a parabola for the same reason.
    """
    x = (wavelengths_nm() - 580.0) / 200.0
    terms = np.stack([np.ones_like(x), x, x**2 - 1 / 3, x**3 - 0.6 * x])
    size = np.array([1.3, 2.4, 2.6, 1.4])
    return (
        1.0 / (1.0 + np.exp(-(rng.normal(size=(count, 4)) * size - [0.8, 0, 0, 0]) @ terms)) * 0.9
        + 0.03
    )


def photo_of(labels_2x, spectra, illuminant, rng, faults=USUAL, camera=USUAL_CAMERA):
    """The file's bytes: labels (2h, 2w) int at twice the size, spectra (n, 81)."""
    return developed((spectra @ camera_weights(illuminant, camera))[labels_2x], rng, faults)


def developed(light_2x, rng, faults=USUAL):
    """Linear light at twice the size, white 1 → JPEG."""
    height, width = (side // 2 for side in light_2x.shape[:2])
    light = light_2x.reshape(height, 2, width, 2, 3).mean((1, 3))
    if faults.blur_px:
        from scipy.ndimage import gaussian_filter

        light = gaussian_filter(light, (faults.blur_px, faults.blur_px, 0))
    falls = fall_off(width, height, faults)
    recorded = light * falls[..., None] * np.array(faults.balance) * faults.exposure
    noise = np.sqrt(np.maximum(recorded, 0) / faults.full_well + (3 / faults.full_well) ** 2)
    recorded = recorded + noise * rng.normal(size=recorded.shape)
    toned = np.clip(recorded, 0, 1) ** faults.tone
    codes = np.rint(255 * srgb_from_linear(toned)).astype(np.uint8)
    file = io.BytesIO()
    Image.fromarray(codes).save(file, "JPEG", quality=faults.quality)
    return file.getvalue()


def fall_off(width, height, faults):
    """What vignetting and a lamp to one side leave of the light: (h, w), 1 in the middle."""
    half = max(width, height) / 2
    x = (np.arange(width) - (width - 1) / 2) / half
    y = ((np.arange(height) - (height - 1) / 2) / half)[:, None]
    corner = x[-1] ** 2 + y[-1, 0] ** 2
    vignette = 1 - faults.vignette * (x**2 + y**2) / corner
    return vignette * (1 + faults.slope[0] * x + faults.slope[1] * y)


def scene_labels(*, card=CARD, patch=PATCH, size=SIZE):
    """0 is the table, 1 the card, 2 the material: (2h, 2w) int, at the middles of half pixels."""
    xs, ys = (np.arange(2 * side) / 2 - 0.25 for side in size)
    x, y = np.meshgrid(xs, ys)
    labels = np.zeros(x.shape, int)
    if card is not None:
        labels[inside(card, x, y)] = 1
    if patch is not None:
        left, top, right, bottom = patch
        labels[
            inside(np.array([[left, top], [right, top], [right, bottom], [left, bottom]]), x, y)
        ] = 2
    return labels


def inside(corners, x, y):
    """Whether places lie in a convex polygon whose corners go clockwise as seen."""
    within = np.ones(x.shape, bool)
    for (x0, y0), (x1, y1) in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        within &= (x1 - x0) * (y - y0) - (y1 - y0) * (x - x0) >= 0
    return within


def table_spectrum():
    """Pale wood."""
    nm = wavelengths_nm()
    return 0.25 + 0.35 * (nm - 380) / 400


def saved(tmp_path, data, name="photo.jpg"):
    path = tmp_path / name
    path.write_bytes(data)
    return path


SEA = 0.12 + 0.3 / (1 + np.exp((np.arange(81) - 34) / 8.0))
"""Reflectance of sea-glass paint."""


@cache
def sea_photo():
    """Sea-glass paint beside a card in daylight: the file's bytes."""
    spectra = np.stack([table_spectrum(), np.full(81, GREY), SEA])
    return photo_of(scene_labels(), spectra, "D65", np.random.default_rng(1))
