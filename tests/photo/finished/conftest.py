"""One renderer for the photos of this folder."""

import pytest

from mockup.render.process import RenderProcess


@pytest.fixture(scope="package")
def renderer():
    with RenderProcess() as process:
        yield process
