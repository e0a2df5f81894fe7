"""Our pictures beside the traced ones: the figures that the report prints and the tests hold."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import partial
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from mockup.colorimetry.difference import delta_e_2000, lab_from_linear_srgb
from mockup.render import lights
from mockup.render.session import Session
from tests.bench.oracle.glitter import Patch, model_of, request_of
from tests.bench.oracle.scenes import (
    Case,
    band_limits,
    bench_light,
    heights_seen,
    our_model,
    our_request,
)
from tests.bench.oracle.whole import Whole, wall_pixels

REFERENCES = Path(__file__).with_name("references")
EDGE_MM = 4.5  # nearer to a band's edge light bleeds sideways under the resin
BENCH_LIGHTS = ("boxes", "panes", "boxes A", "boxes LED-B3")

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Smooth:
    """A scene of bands: ΔE00 over its pixels, and per band (name, median, p95, ours/traced)."""

    median: float
    p95: float
    bands: tuple[tuple[str, float, float, Floats], ...]
    pictures: tuple[Floats, Floats, Floats]  # ours, traced (exposed linear), ΔE00


@dataclass(frozen=True)
class Sparkle:
    """A patch of glitter: mean and p99/mean of ours over the traced ones, and their correlation."""

    mean: float
    p99: float
    correlation: float


@contextmanager
def open_session() -> Iterator[Session]:
    """A session; the bench's lights are known until it is left."""
    ours = dict(lights._LIGHTS)
    lights._LIGHTS.update({name: partial(bench_light, name) for name in BENCH_LIGHTS})
    try:
        yield Session()
    finally:
        lights._LIGHTS.clear()
        lights._LIGHTS.update(ours)


def linear_picture(session: Session, model: object, request: object) -> Floats:
    """Radiance of a request, nothing behind the cup: (rows, columns, 4)."""
    picture = session.picture(
        model,  # type: ignore[arg-type]
        request,  # type: ignore[arg-type]
        transparent=True,
        keep_linear=True,
        progress=lambda share, what: None,
    )
    assert picture.linear is not None
    return picture.linear.astype(float)


def smooth(session: Session, case: Case, samples: int = 16) -> Smooth:
    """Compare one scene of bands; pixels at the edges of bands and silhouettes are left out."""
    with np.load(REFERENCES / f"{case.name}.npz") as stored:
        traced = stored["mean"].astype(float)
    model, table = our_model(case)
    ours = linear_picture(session, model, our_request(case, table, samples))
    whole, heights = ours[..., 3] > 0.999, heights_seen()
    exposure = 0.7 / np.nanpercentile(traced[whole], 97)
    a, b = (np.clip(x * exposure, 0, 1) for x in (ours[..., :3], traced))
    far = delta_e_2000(lab_from_linear_srgb(a), lab_from_linear_srgb(b))
    bands, used = [], np.zeros(whole.shape, bool)
    for band, (low, high) in zip(case.bands, band_limits(case), strict=True):
        on = whole & (heights > low + EDGE_MM) & (heights < high - EDGE_MM)
        used |= on
        rough = f"{band.metal} {band.alpha[0]:g}×{band.alpha[1]:g}"
        name = rough if band.metal else " ".join(band.stripes) or band.colour
        ratio = ours[on][:, :3].mean(0) / traced[on].mean(0)
        bands.append((name, float(np.median(far[on])), float(np.percentile(far[on], 95)), ratio))
    return Smooth(
        float(np.median(far[used])), float(np.percentile(far[used], 95)), tuple(bands), (a, b, far)
    )


@dataclass(frozen=True)
class Cupful:
    """A whole design: ΔE00 over its wall, and ours over traced, all of it and each channel."""

    median: float
    p95: float
    ratio: Floats
    pictures: tuple[Floats, Floats, Floats]  # ours, traced (exposed linear), ΔE00


def cupful(session: Session, scene: Whole, traced: Floats) -> Cupful:
    """Compare one picture of a whole design with its traced one, on pixels of the wall."""
    ours = linear_picture(session, scene.cup.model, scene.request)
    on = wall_pixels(scene) & (ours[..., 3] > 0.999)
    exposure = lights.find_light(scene.request.light).exposure
    a, b = (np.clip(x[..., :3] * exposure, 0, 1) for x in (ours, traced))
    far = delta_e_2000(lab_from_linear_srgb(a), lab_from_linear_srgb(b))
    ratio = ours[on][:, :3].mean(0) / traced[on].mean(0)
    found = float(np.median(far[on])), float(np.percentile(far[on], 95))
    return Cupful(*found, ratio, (a, b, far))


def stored(name: str) -> Floats:
    """A traced picture that lies beside the bench: (rows, columns, 3)."""
    with np.load(REFERENCES / f"{name}.npz") as kept:
        return np.asarray(kept["mean"], np.float64)


def sparkle(session: Session, patch: Patch, samples: int = 16, seed: int = 5) -> Sparkle:
    """Compare one patch of glitter that both renderers show with the same flakes."""
    inner = slice(2, -2)
    with np.load(REFERENCES / f"{patch.name}.npz") as stored:
        traced = stored["mean"][inner, inner].astype(float).mean(-1)
    model, table, _ = model_of(patch, seed)
    ours = linear_picture(session, model, request_of(patch, table, samples=samples))
    ours = ours[inner, inner, :3].mean(-1)
    peaks = [np.percentile(x, 99) / x.mean() for x in (ours, traced)]
    return Sparkle(
        float(ours.mean() / traced.mean()),
        float(peaks[0] / peaks[1]),
        float(np.corrcoef(ours.ravel(), traced.ravel())[0, 1]),
    )
