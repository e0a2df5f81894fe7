"""A design goes round once: each frame is the still from its turn; stopping leaves nothing."""

import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image

from mockup import pipeline
from mockup.design.read import read_design
from mockup.faces.cli import cli
from mockup.files import shipped
from mockup.pipeline.turntable import film_samples
from mockup.render.process import RenderProcess

DEMO = shipped("textures", "regatta")


def test_each_frame_is_the_picture_from_its_turn(tmp_path):
    """Pixel for pixel what `render --turn` draws, in the order of growing turns."""
    pipeline.turntable(DEMO, tmp_path / "round", frames=3, size_px=(48, 64), samples=4)

    cup = pipeline.build_cup(read_design(DEMO))
    with RenderProcess() as renderer:
        for nth, turn_deg in enumerate((0.0, 120.0, 240.0), start=1):
            shot = pipeline.Shot(48, 64, turn_deg=turn_deg, samples=4)
            still = pipeline.render_cup(cup, shot, renderer).rgba8_srgb
            with Image.open(tmp_path / "round" / f"frame-{nth:03d}.png") as frame:
                np.testing.assert_array_equal(np.asarray(frame), still)


def test_it_can_be_stopped_between_frames(tmp_path):
    """As a desk does it: what watches the progress raises, and no half film stays."""

    class EnoughError(Exception):
        pass

    told = []

    def progress(share, doing):
        told.append(share)
        if doing == "drawing frame 2 of 6":
            raise EnoughError

    with pytest.raises(EnoughError):
        pipeline.turntable(
            DEMO, tmp_path / "cup.mp4", frames=6, size_px=(48, 64), samples=1, progress=progress
        )

    assert told == sorted(told)
    assert list(tmp_path.iterdir()) == []


def test_the_command_tells_an_odd_size_before_the_work(tmp_path):
    done = CliRunner().invoke(
        cli, ["turntable", str(DEMO), "-o", str(tmp_path / "cup.mp4"), "--size", "541x720"]
    )

    assert done.exit_code == 1
    assert done.output == (
        "--size: an MP4 cannot be 541x720 px, since it keeps one colour for two by two. "
        "Take even numbers, such as 542x720.\n"
    )


def test_samples_of_a_film_come_in_fours():
    """The renderer draws four side by side; nine would cost half as much again."""
    assert {film_samples(height_px) % 4 for height_px in (64, 720, 999, 1000, 2000)} == {0}
