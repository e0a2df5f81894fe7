"""Panoramas of light that the maker brings: Radiance RGBE (.hdr) and OpenEXR (.exr) files.

A panorama is latitude by longitude, twice as wide as high, linear light in sRGB's primaries. Its
middle is what the camera looks at, behind the cup.

References
----------
Ward (1991), Real Pixels, in Graphics Gems II: the RGBE pixel. The layout of the file is that of the
Radiance manual, File Formats, sec. "Picture File Format (.hdr)".
"""

import re
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from mockup.errors import AssetError
from mockup.render.room import COLUMNS, ROWS

__all__ = ["ENDINGS", "check_panorama", "decode_rgbe", "is_panorama_name", "read_panorama"]

Map = NDArray[np.float32]

ENDINGS = (".hdr", ".pic", ".exr")
MOST_COLUMNS = 8192
MOST_RADIANCE = 1e9  # brighter than the sun in any unit that keeps the sky near 1
_SAVE = "Save it again from the program that made it"


def is_panorama_name(name: str) -> bool:
    """Whether a light is named as a file and not as one of ours."""
    return Path(name).suffix.lower() in ENDINGS


def check_panorama(path: Path, *, where: str) -> None:
    """Refuse a file that is not there or does not begin as its kind does.

    Raises
    ------
    AssetError
        With the remedy.
    """
    try:
        with path.open("rb") as file:
            start = file.read(4)
    except OSError as error:
        raise AssetError(
            f"the light {path.name} cannot be read ({error.strerror})",
            where=where,
            remedy="Name a .hdr or .exr file that is there and that you may read",
        ) from error
    begins = b"\x76\x2f\x31\x01" if path.suffix.lower() == ".exr" else b"#?"
    if not start.startswith(begins):
        raise _bad(path, f"it is not {'an OpenEXR' if begins[0] == 0x76 else 'a Radiance'} picture")


def read_panorama(path: Path, *, where: str = "--light") -> Map:
    """The light of a panorama file in the stage's directions.

    Means over areas are kept: a small sun is spread over the texel that it falls in.

    Returns
    -------
    (ROWS, COLUMNS, 3) float32, linear sRGB primaries, the file's unit, ≥ 0

    Raises
    ------
    AssetError
        The file is missing, damaged, too large, not twice as wide as high, or black; or .exr files
        cannot be read here.
    """
    check_panorama(path, where=where)
    if path.suffix.lower() == ".exr":
        picture = _read_exr(path)
    else:
        picture = decode_rgbe(path.read_bytes(), path)
    _check_size(path, picture.shape[1], picture.shape[0])
    if np.isnan(picture).any():
        raise _bad(path, "some of its pixels are not numbers")
    picture = np.clip(picture, 0.0, MOST_RADIANCE)
    if not picture.any():
        raise _bad(path, "it is black all over", "Name a panorama that holds light")
    # seen from within, columns run to the right; ours run to the left and begin behind the camera
    return np.ascontiguousarray(np.roll(_resampled(picture)[:, ::-1], COLUMNS // 2, axis=1))


def decode_rgbe(data: bytes, path: Path) -> Map:
    """The pixels of a Radiance picture: (rows, columns, 3) float32.

    Raises
    ------
    AssetError
        It is damaged, turned, in XYZ, or larger than we take.
    """
    head, _, rest = data.partition(b"\n\n")
    if b"32-bit_rle_xyze" in head:
        raise _bad(path, "its colours are XYZ", "Save it with RGB colours")
    line, _, body = rest.partition(b"\n")
    size = re.fullmatch(rb"-Y (\d{1,6}) \+X (\d{1,6})", line.strip())
    if size is None:
        said = line[:24].decode("ascii", "replace")
        raise _bad(path, f"{said!r} is not the size of an upright picture")
    rows, columns = int(size[1]), int(size[2])
    _check_size(path, columns, rows)
    try:
        rgbe = _scanlines(body, rows, columns)
    except (IndexError, ValueError) as error:
        raise _bad(path, "its pixels break off or are damaged") from error
    scale = np.ldexp(1.0 / _exposure(head), rgbe[..., 3].astype(np.int32) - 136).astype(np.float32)
    light: Map = (rgbe[..., :3] + np.float32(0.5)) * scale[..., np.newaxis]
    return np.where(rgbe[..., 3:] > 0, light, np.float32(0.0)).astype(np.float32)


def _exposure(head: bytes) -> float:
    """What radiance was multiplied by to give the pixels: the product of all such lines."""
    product = 1.0
    for said in re.findall(
        rb"^EXPOSURE=[ \t]*(\d*\.?\d+(?:[eE][+-]?\d{1,2})?)", head, re.MULTILINE
    ):
        product *= float(said)
    return product if 1e-30 < product < 1e30 else 1.0


def _scanlines(body: bytes, rows: int, columns: int) -> NDArray[np.uint8]:
    """Mantissas and exponents: (rows, columns, 4) uint8. IndexError or ValueError if damaged."""
    if body[:2] != b"\x02\x02" or body[2] > 127 or columns < 8:  # plain pixels
        flat = np.frombuffer(body, np.uint8, rows * columns * 4).reshape(rows, columns, 4)
        if (flat[..., :3] == 1).all(-1).any():  # repeats of the oldest kind: no pixel is (1, 1, 1)
            raise ValueError("run lengths of the oldest kind")
        return flat
    rgbe = np.zeros((rows, 4, columns), np.uint8)
    at = 0
    for row in rgbe:
        if body[at : at + 4] != bytes((2, 2, columns >> 8, columns & 255)):
            raise ValueError("no start of a scanline")
        at += 4
        for channel in row:
            at = _unpacked(body, at, channel)
    return rgbe.transpose(0, 2, 1)


def _unpacked(body: bytes, at: int, channel: NDArray[np.uint8]) -> int:
    """Fill one channel of a scanline from its runs and literals; gives where the next begins."""
    x, columns = 0, len(channel)
    while x < columns:
        count = body[at]
        run = count > 128
        count -= 128 if run else 0
        if count == 0 or x + count > columns:
            raise ValueError("a run that does not fit")
        if run:
            channel[x : x + count] = body[at + 1]
            at += 2
        else:
            channel[x : x + count] = np.frombuffer(body, np.uint8, count, at + 1)
            at += 1 + count
        x += count
    return at


def _read_exr(path: Path) -> Map:
    try:
        import OpenEXR
    except ImportError as error:
        raise AssetError(
            "OpenEXR files cannot be read yet on this machine",
            where=str(path),
            remedy='Install the optional part with pip install "tumbler-mockup[exr]", '
            "or save the panorama as .hdr",
        ) from error
    try:
        with OpenEXR.File(str(path), separate_channels=True) as file:
            channels = {name: np.asarray(c.pixels) for name, c in file.channels().items()}
    except Exception as error:  # the library raises whatever it likes at damaged files
        raise _bad(path, "its pixels break off or are damaged") from error
    if not {"R", "G", "B"} <= set(channels):
        raise _bad(path, "it has no channels R, G and B", "Save it with plain RGB channels")
    return np.stack([channels[c].astype(np.float32) for c in "RGB"], axis=-1)


def _check_size(path: Path, columns: int, rows: int) -> None:
    if rows < 8 or abs(columns - 2 * rows) > 0.02 * columns:
        raise _bad(
            path,
            f"{columns} × {rows} px is not twice as wide as high",
            "Name a latitude-longitude panorama of the whole sphere",
        )
    if columns > MOST_COLUMNS:
        raise _bad(path, f"{columns} × {rows} px is more than we take", "Save it 4096 px wide")


def _resampled(picture: Map) -> Map:
    kind = Image.Resampling.BOX if picture.shape[1] >= COLUMNS else Image.Resampling.BILINEAR
    planes = [
        np.asarray(
            Image.fromarray(np.ascontiguousarray(picture[..., c])).resize((COLUMNS, ROWS), kind)
        )
        for c in range(3)
    ]
    return np.stack(planes, axis=-1)


def _bad(path: Path, problem: str, remedy: str = _SAVE) -> AssetError:
    return AssetError(problem, where=str(path), remedy=remedy)
