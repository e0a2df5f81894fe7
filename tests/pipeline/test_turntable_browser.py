"""The film plays where customers open it: in Chromium's video element, loaded, timed, sought."""

import base64

import numpy as np
import pytest
from PIL import Image

from mockup import pipeline
from mockup.files import shipped

pytestmark = pytest.mark.browser

FRAMES, SECONDS, SIZE = 8, 2.0, (96, 128)
SEEK = """async share => {  // found is not shown yet: the frame comes when the compositor has it
  const video = document.querySelector("video");
  const there = new Promise(done => video.addEventListener("seeked", done, {once: true}));
  const shown = new Promise(done => video.requestVideoFrameCallback(done));
  video.currentTime = share * video.duration;
  await there;
  await Promise.race([shown, new Promise(done => setTimeout(done, 3000))]);
  const canvas = new OffscreenCanvas(video.videoWidth, video.videoHeight);
  const pen = canvas.getContext("2d");
  pen.drawImage(video, 0, 0);
  return Array.from(pen.getImageData(0, 0, canvas.width, canvas.height).data);
}"""


@pytest.fixture(scope="module")
def rounds(tmp_path_factory):
    """The demo's film and, drawn apart, its frames as pictures: (FRAMES, rows, columns, 3)."""
    folder = tmp_path_factory.mktemp("film")
    for name in ("cup.mp4", "round"):
        pipeline.turntable(
            shipped("textures", "regatta"),
            folder / name,
            frames=FRAMES,
            seconds=SECONDS,
            size_px=SIZE,
            samples=4,
        )
    stills = [np.asarray(Image.open(path)) for path in sorted((folder / "round").iterdir())]
    return (folder / "cup.mp4").read_bytes(), np.stack(stills).astype(float)


@pytest.fixture(scope="module")
def page(browser, rounds):
    page = browser.new_page()
    film = base64.b64encode(rounds[0]).decode()
    page.set_content(f'<video muted src="data:video/mp4;base64,{film}"></video>')
    page.wait_for_function("document.querySelector('video').readyState === 4")
    yield page
    page.close()


def test_it_loads_as_large_and_as_long_as_asked_for(page):
    video = page.evaluate(
        "(v => [v.videoWidth, v.videoHeight, v.duration, v.error])(document.querySelector('video'))"
    )

    assert video[:2] == list(SIZE)
    assert video[2] == pytest.approx(SECONDS, abs=0.01)
    assert video[3] is None


def test_it_plays_to_its_end(page):
    ended = page.evaluate(
        """async () => {
          const video = document.querySelector("video");
          const end = new Promise(done => video.addEventListener("ended", done, {once: true}));
          video.currentTime = 0;
          await video.play();
          await end;
          return video.ended;
        }"""
    )

    assert ended


def test_each_moment_shows_the_cup_from_its_own_side(page, rounds):
    """Of all stills, the one from that turn is nearest, and near: the angles are not mixed up."""
    nearest, off = [], []
    for nth in range(FRAMES):
        seen = np.array(page.evaluate(SEEK, (nth + 0.5) / FRAMES), float)
        seen = seen.reshape(SIZE[1], SIZE[0], 4)[..., :3]
        errors = np.abs(rounds[1] - seen).mean((1, 2, 3))
        nearest.append(int(errors.argmin()))
        off.append(errors.min())

    assert nearest == list(range(FRAMES))
    assert max(off) < 4  # codes: chroma for two by two, at a picture this small
