"""One renderer for the laws of this folder, on pytest's main thread, and even lights."""

import numpy as np
import pytest

from mockup.render import lights
from mockup.render.session import Session


def even(name, level):
    """A light of the same radiance from everywhere."""
    radiance = np.full((lights.ROWS, lights.COLUMNS, 3), level, np.float32)
    return lights.Light(name, radiance, np.full(3, level, np.float32), radiance[0, :2])


@pytest.fixture(scope="package")
def session():
    """A renderer in this process that knows `uniform` and `twofold`."""
    with pytest.MonkeyPatch.context() as patch:
        for name, level in (("uniform", 1.0), ("twofold", 2.0)):
            light = even(name, level)
            patch.setitem(lights._LIGHTS, name, lambda light=light: light)
        yield Session()


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
