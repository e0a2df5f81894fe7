"""Accepted pictures, compared in ΔE00. A picture without its golden fails; it is never skipped."""

from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from mockup.colorimetry.difference import delta_e_2000, lab_from_rgb8

__all__ = ["GOLDEN", "assert_looks_like"]

GOLDEN = Path(__file__).parent / "golden"


def assert_looks_like(
    name: str, rgb8_srgb: NDArray[np.uint8], *, delta_e: float = 3.0, share: float = 0.002
) -> None:
    """At most `share` of the pixels may be further than `delta_e` (ΔE00) from the golden.

    On failure the picture is written beside the golden as NAME.new.png.

    Parameters
    ----------
    name
        The golden is tests/golden/NAME.png.
    rgb8_srgb : (rows, columns, 3) uint8, sRGB codes, at most 400 pixels a side

    Raises
    ------
    AssertionError
        The golden is missing, has another size or looks different; says what to do.
    """
    assert rgb8_srgb.dtype == np.uint8, f"{name} holds {rgb8_srgb.dtype}, not uint8 sRGB codes"
    assert rgb8_srgb.ndim == 3, f"{name} has shape {rgb8_srgb.shape}, not (rows, columns, 3)"
    assert rgb8_srgb.shape[2] == 3, f"{name} has shape {rgb8_srgb.shape}, not (rows, columns, 3)"
    assert max(rgb8_srgb.shape) <= 400, f"{name} is larger than 400 pixels; render it smaller"
    path = GOLDEN / f"{name}.png"
    fault = _fault(path, rgb8_srgb, delta_e, share)
    new = path.with_name(f"{name}.new.png")
    if not fault:
        new.unlink(missing_ok=True)
        return
    GOLDEN.mkdir(exist_ok=True)
    Image.fromarray(rgb8_srgb).save(new)
    raise AssertionError(
        f"{fault}. Look at {new.name} in tests/golden; if it is right, rename it to {path.name}"
        f" and add a 'Looks' line to Changes"
    )


def _fault(path: Path, rgb8_srgb: NDArray[np.uint8], delta_e: float, share: float) -> str:
    if not path.exists():
        return f"{path.name} has no accepted picture yet"
    with Image.open(path) as image:
        golden = np.asarray(image.convert("RGB"))
    if golden.shape != rgb8_srgb.shape:
        return f"{path.name} is {golden.shape[:2]}, the picture is {rgb8_srgb.shape[:2]}"
    far = delta_e_2000(lab_from_rgb8(rgb8_srgb), lab_from_rgb8(golden)) > delta_e
    if far.mean() > share:
        return f"{far.mean():.2%} of {path.stem} moved by more than ΔE {delta_e}"
    return ""
