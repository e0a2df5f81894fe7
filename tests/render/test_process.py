"""The render process: the same request gives the same bytes, and a dead process is replaced."""

import multiprocessing
import os
import signal
import subprocess
import sys
import threading
from pathlib import Path

import numpy as np
import pytest

from mockup import pipeline
from mockup.design.read import read_design
from mockup.errors import RenderError
from mockup.files import shipped
from mockup.render import session
from mockup.render.process import RenderProcess, _Ask, _serve

SHOT = pipeline.Shot(120, 160, samples=2)


@pytest.fixture(scope="module")
def cup():
    return pipeline.build_cup(read_design(shipped("textures", "regatta")))


@pytest.fixture(scope="module")
def renderer():
    with RenderProcess() as process:
        yield process


def test_the_same_request_gives_the_same_bytes(cup, renderer):
    """Twice in one process, after another view in between, and in a process of its own."""
    first = pipeline.render_cup(cup, SHOT, renderer).rgba8_srgb
    pipeline.render_cup(cup, pipeline.Shot(90, 120, turn_deg=50, samples=1), renderer)
    again = pipeline.render_cup(cup, SHOT, renderer).rgba8_srgb
    with RenderProcess() as other:
        elsewhere = pipeline.render_cup(cup, SHOT, other).rgba8_srgb

    np.testing.assert_array_equal(first, again)
    np.testing.assert_array_equal(first, elsewhere)


def test_a_process_that_died_is_replaced(cup, renderer):
    """The maker sees a picture, not that something went wrong behind it."""
    before = pipeline.render_cup(cup, SHOT, renderer).rgba8_srgb
    os.kill(renderer._process.pid, signal.SIGKILL)
    renderer._process.join()

    np.testing.assert_array_equal(before, pipeline.render_cup(cup, SHOT, renderer).rgba8_srgb)


def test_an_error_crosses_from_the_process_as_itself(cup, renderer):
    """A light that only the process looks for is refused in its own words."""
    request = pipeline.picture_request(cup, SHOT, "softbox")
    unknown = type(request)(
        **{name: getattr(request, name) for name in request.__slots__ if name != "light"},
        light="candle",
    )
    with pytest.raises(Exception, match="no light is named 'candle'"):
        renderer.draw(cup.model, unknown)

    assert renderer.draw(cup.model, request).rgba8_srgb.shape == (160, 120, 3)


def test_a_process_that_nobody_waits_for_ends_in_silence(monkeypatch):
    """The maker closed the window while a picture was being drawn."""

    class Drawing:
        """Tells how far it is, as a session does."""

        def picture(self, model, request, *, progress, **_):
            progress(0.5, "drawing")

    monkeypatch.setattr(session, "Session", Drawing)
    monkeypatch.setattr(signal, "signal", lambda *_: None)
    ours, theirs = multiprocessing.Pipe()
    ours.send(_Ask("a cup", "a shot", transparent=True, keep_linear=False))
    ours.close()

    with pytest.raises(SystemExit) as end:
        _serve(theirs)

    assert end.value.code == 0


def test_a_fault_of_the_program_is_told_and_not_thrown(monkeypatch):
    """One sentence crosses to the caller, and the process waits for the next picture."""

    class Faulty:
        """Fails as no session should."""

        def picture(self, model, request, **_):
            raise ZeroDivisionError("division by zero")

    monkeypatch.setattr(session, "Session", Faulty)
    monkeypatch.setattr(signal, "signal", lambda *_: None)
    ours, theirs = multiprocessing.Pipe()
    for _ in range(2):
        ours.send(_Ask("a cup", "a shot", transparent=True, keep_linear=False))
    serving = threading.Thread(target=_serve, args=(theirs,))
    serving.start()
    told = [ours.recv() for _ in range(2)]
    ours.close()
    serving.join(10)

    assert not serving.is_alive()
    assert all("could not be drawn (ZeroDivisionError" in str(error) for error in told)


def test_a_picture_that_is_too_large_is_refused(cup):
    """Before any work is done, with what would fit."""
    with pytest.raises(RenderError, match="8192"):
        pipeline.picture_request(cup, pipeline.Shot(9000, 100), "softbox")


def test_without_opengl_one_sentence_names_the_packages(tmp_path):
    """A machine without GL: exit code 1, no traceback, nothing written."""
    for library in ("libEGL", "libGL", "libOSMesa", "libOpenGL", "libGLX"):
        for ending in (".so", ".so.0", ".so.1", ".so.8"):
            (tmp_path / f"{library}{ending}").write_text("not a library")
    hidden = {**os.environ, "LD_LIBRARY_PATH": str(tmp_path)}
    output = tmp_path / "cup.png"
    program = Path(sys.executable).with_name("tumbler-mockup")
    done = subprocess.run(
        [program, "render", shipped("textures", "regatta"), "-o", str(output), "--size", "60x80"],
        env=hidden, capture_output=True, text=True, timeout=120, check=False,
    )  # fmt: skip

    assert done.returncode == 1
    assert "libegl1" in done.stderr
    assert "Traceback" not in done.stderr
    assert len(done.stderr.strip().splitlines()) == 1
    assert not output.exists()
