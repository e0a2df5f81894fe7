"""One renderer for the laws of this folder, on pytest's main thread, and even lights."""

from functools import cache, partial

import numpy as np
import pytest

from mockup.render import lights
from mockup.render.session import Session


@cache
def even(name, level):
    """A light of the same radiance from everywhere."""
    radiance = np.full((lights.ROWS, lights.COLUMNS, 3), level, np.float32)
    return lights.Light(name, radiance, np.full(3, level, np.float32), radiance[0, :2])


@pytest.fixture(autouse=True)
def _even_lights(monkeypatch):
    """Lights that only these tests know: `uniform` and `twofold`."""
    for name, level in (("uniform", 1.0), ("twofold", 2.0)):
        monkeypatch.setitem(lights._LIGHTS, name, partial(even, name, level))


@pytest.fixture(scope="package")
def session():
    """A renderer in this process."""
    return Session()


@pytest.fixture(scope="package")
def radiance(session):
    """Draw a request: (height, width, 4) float64, radiance and coverage."""

    def draw(bands, request, *, transparent=True):
        picture = session.picture(
            bands.model,
            request,
            transparent=transparent,
            keep_linear=True,
            progress=lambda share, what: None,
        )
        return picture.linear.astype(float)

    return draw
