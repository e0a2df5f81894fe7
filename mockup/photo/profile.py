"""Colour profiles of cameras as a curve for each channel and a matrix, without clipping.

Pillow converts by profile to 8 bits within sRGB; what a phone records beyond sRGB would be cut
off. Every phone's profile is a curve and a matrix, and those are applied here in floating point.

References
----------
ICC.1:2010, Image technology colour management, sec. 8.3.3 (three-component matrix-based profiles),
10.5 (curveType), 10.15 (parametricCurveType), annex E (adaptation to D50).
"""

import struct
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mockup.colorimetry.difference import WHITE_XYZ_D65, XYZ_FROM_LINEAR_SRGB
from mockup.colorimetry.spectra import BRADFORD

__all__ = ["MatrixProfile", "read_matrix_profile"]

_D50 = np.array([0.9642, 1.0, 0.8249])  # ICC.1:2010, sec. 7.2.16
_CHANNELS = (b"r", b"g", b"b")
_TERMS = (1, 3, 4, 5, 7)  # parameters of parametric curves 0 to 4; ICC.1:2010, table 65


@dataclass(frozen=True, slots=True, eq=False)
class MatrixProfile:
    """Codes → linear sRGB: `curves` (3, 256) float64 by code, `linear_srgb_from_own` (3, 3)."""

    curves: NDArray[np.float64]
    linear_srgb_from_own: NDArray[np.float64]

    def linear(self, rgb8: NDArray[np.uint8]) -> NDArray[np.float32]:
        """Pictures in linear sRGB, not clipped: (..., 3) uint8 → (..., 3) float32."""
        own = np.stack([self.curves[i].astype(np.float32)[rgb8[..., i]] for i in range(3)], axis=-1)
        return np.asarray(own @ self.linear_srgb_from_own.T.astype(np.float32))


def read_matrix_profile(icc: bytes) -> MatrixProfile | None:
    """The profile, or None where it is of another kind or damaged."""
    try:
        tags = _tags(icc)
        if icc[16:20] != b"RGB " or icc[20:24] != b"XYZ " or b"A2B0" in tags:
            return None
        columns = [_xyz(tags[channel + b"XYZ"]) for channel in _CHANNELS]
        curves = np.stack([_curve(tags[channel + b"TRC"]) for channel in _CHANNELS])
    except (KeyError, struct.error, IndexError, ValueError):
        return None
    matrix = np.linalg.solve(_d50_from_linear_srgb(), np.stack(columns, axis=-1))
    return (
        MatrixProfile(curves, np.asarray(matrix, np.float64)) if np.isfinite(matrix).all() else None
    )


def _d50_from_linear_srgb() -> NDArray[np.float64]:
    gain = (BRADFORD @ _D50) / (BRADFORD @ WHITE_XYZ_D65)
    adapt = np.linalg.solve(BRADFORD, gain[:, None] * BRADFORD)
    return np.asarray(adapt @ XYZ_FROM_LINEAR_SRGB)


def _tags(icc: bytes) -> dict[bytes, bytes]:
    (count,) = struct.unpack_from(">I", icc, 128)
    found = {}
    for i in range(min(count, 100)):
        name, at, size = struct.unpack_from(">4sII", icc, 132 + 12 * i)
        found[name] = icc[at : at + size]
    return found


def _xyz(tag: bytes) -> NDArray[np.float64]:
    return np.array(struct.unpack_from(">3i", tag, 8)) / 65536.0


def _curve(tag: bytes) -> NDArray[np.float64]:
    """Linear light of codes 0 to 255."""
    codes = np.arange(256) / 255.0
    if tag[:4] == b"para":
        return _parametric(tag, codes)
    if tag[:4] != b"curv":
        raise ValueError("no curve")
    (count,) = struct.unpack_from(">I", tag, 8)
    if count == 0:
        return codes
    values = np.array(struct.unpack_from(f">{count}H", tag, 12), dtype=np.float64)
    if count == 1:
        return np.asarray(codes ** (values[0] / 256.0))
    return np.asarray(np.interp(codes, np.linspace(0.0, 1.0, count), values / 65535.0))


def _parametric(tag: bytes, x: NDArray[np.float64]) -> NDArray[np.float64]:
    (kind,) = struct.unpack_from(">H", tag, 8)
    given = [v / 65536.0 for v in struct.unpack_from(f">{_TERMS[kind]}i", tag, 12)]
    usual = (1.0, 1.0, 0.0, 0.0, -1.0, 0.0, 0.0)
    g, a, b, c, d, e, f = np.append(given, usual[len(given) :])
    if kind in (1, 2):  # below −b/a the curve is flat, at c for kind 2
        e, f, c, d = (c, c, 0.0, -b / a) if kind == 2 else (0.0, 0.0, 0.0, -b / a)
    curved = np.maximum(a * x + b, 0.0) ** g + e
    return np.asarray(np.where(x >= d, curved, c * x + f))
