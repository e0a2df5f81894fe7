"""Pictures and radiance as files: whole or not at all."""

from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image
from PIL.PngImagePlugin import PngInfo

from mockup.errors import OutputError
from mockup.files import whole_file

__all__ = ["write_linear", "write_picture"]


def write_picture(rgba8_srgb: NDArray[np.uint8], path: Path) -> None:
    """Write (height, width, 3 or 4) uint8 as PNG, tagged as sRGB; same pixels, same bytes.

    Raises
    ------
    OutputError
        The name does not end in .png, or the file cannot be written.
    """
    if path.suffix.lower() != ".png":
        raise OutputError(
            f"pictures are written as PNG, not {path.suffix or 'without an ending'}",
            where=str(path),
            remedy="End the output's name in .png",
        )
    info = PngInfo()
    info.add(b"sRGB", b"\x00")  # perceptual intent; PNG specification, 11.3.2.5
    with whole_file(path) as part:
        Image.fromarray(rgba8_srgb).save(part, format="PNG", compress_level=4, pnginfo=info)


def write_linear(linear: NDArray[np.float32], path: Path) -> None:
    """Write (height, width, 4) float32 radiance and coverage as a NumPy file.

    Raises
    ------
    OutputError
        The name does not end in .npy, or the file cannot be written.
    """
    if path.suffix.lower() != ".npy":
        raise OutputError(
            f"radiance is written as .npy, not {path.suffix or 'without an ending'}",
            where=str(path),
            remedy="End the name after --linear in .npy",
        )
    with whole_file(path) as part, part.open("wb") as file:
        np.save(file, linear)
