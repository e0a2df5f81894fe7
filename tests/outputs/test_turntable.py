"""The film keeps colours, order and time, plays as it comes, and is whole or not there."""

import av
import numpy as np
import pytest
from PIL import Image

from mockup.errors import OutputError
from mockup.outputs.turntable import Round, check_turntable, write_turntable

# painted patches: navy, sea-glass, copper, a saturated red, the ends and the middle of the greys
COLOURS = [
    (13, 35, 72),
    (120, 200, 180),
    (216, 140, 104),
    (200, 30, 40),
    (0, 0, 0),
    (255, 255, 255),
    (128, 128, 128),
]
SIZE = (48, 64)


def flat(colour):
    return np.full((SIZE[1], SIZE[0], 3), colour, np.uint8)


def film(path, frames, seconds=2.0):
    write_turntable(iter(frames), path, Round(*SIZE, len(frames), seconds))
    return path


def decoded(path):
    """Frames as another program decodes them: by the tags in the stream, not by what we know."""
    with av.open(str(path)) as opened:
        yield from opened.decode(video=0)


def rgb_by_the_standard(frame):
    """RGB codes of 8-bit Y'CbCr at the middle: ITU-R BT.709-6, items 3.2 to 3.5."""
    planes = frame.to_ndarray(format="yuv420p")
    rows = frame.height
    luma = (planes[rows // 2, frame.width // 2] - 16.0) / 219
    chroma = planes[rows:].reshape(2, rows // 2, frame.width // 2)
    blue, red = (chroma[:, rows // 4, frame.width // 4] - 128.0) / 224
    r, b = luma + 1.5748 * red, luma + 1.8556 * blue
    return 255 * np.array([r, (luma - 0.2126 * r - 0.0722 * b) / 0.7152, b])


def test_a_flat_colour_comes_back_from_the_film(tmp_path):
    """Within 2 of 255, worked out by the standard's own formulae from the decoded codes."""
    path = film(tmp_path / "cup.mp4", [flat(c) for c in COLOURS for _ in range(3)])

    found = [rgb_by_the_standard(frame) for frame in decoded(path)][1::3]
    np.testing.assert_allclose(found, COLOURS, atol=2)


def test_the_film_says_how_its_colours_are_meant(tmp_path):
    """BT.709 primaries, transfer and matrix (ITU-T H.273, number 1), luma 16 to 235, yuv420p."""
    path = film(tmp_path / "cup.mp4", [flat(c) for c in COLOURS])

    with av.open(str(path)) as opened:
        codec = opened.streams.video[0].codec_context
        assert codec.name == "h264"
        assert codec.pix_fmt == "yuv420p"
        assert (codec.colorspace, codec.color_primaries, codec.color_trc) == (1, 1, 1)
        assert codec.color_range == 1


def test_the_film_is_as_long_as_was_asked_for(tmp_path):
    path = film(tmp_path / "cup.mp4", [flat(c) for c in COLOURS], seconds=3.5)

    with av.open(str(path)) as opened:
        stream = opened.streams.video[0]
        assert stream.frames == len(COLOURS)
        assert float(stream.duration * stream.time_base) == pytest.approx(3.5, abs=0.01)
        assert stream.average_rate == 2


def test_the_film_begins_with_its_index(tmp_path):
    """So that it plays while it is still loading: `moov` comes before `mdat` (ISO/IEC 14496-12)."""
    data = film(tmp_path / "cup.mp4", [flat(c) for c in COLOURS]).read_bytes()

    names, at = [], 0
    while at < len(data):
        names.append(data[at + 4 : at + 8].decode())
        at += int.from_bytes(data[at : at + 4], "big")
    assert names[0] == "ftyp"
    assert names.index("moov") < names.index("mdat")


def test_the_animated_picture_keeps_frames_and_time(tmp_path):
    """Whole milliseconds that add up to the round: 7 frames in 2 s are 285.7 ms each."""
    path = film(tmp_path / "cup.webp", [flat(c) for c in COLOURS])

    with Image.open(path) as image:
        assert image.info["loop"] == 0
        shown = []
        for nth in range(image.n_frames):
            image.seek(nth)
            image.load()  # the duration is known once the frame is read
            shown.append((image.info["duration"], np.asarray(image.convert("RGB"))[32, 24]))
    assert sum(duration for duration, _ in shown) == 2000
    assert {duration for duration, _ in shown} <= {285, 286}
    np.testing.assert_allclose([colour for _, colour in shown], COLOURS, atol=4)


def test_frames_come_as_pictures_in_order(tmp_path):
    folder = film(tmp_path / "round", [flat(c) for c in COLOURS])

    paths = sorted(folder.iterdir())
    assert [p.name for p in paths] == [f"frame-{n:03d}.png" for n in range(1, 8)]
    for path, colour in zip(paths, COLOURS, strict=True):
        with Image.open(path) as image:
            assert image.getcolors() == [(SIZE[0] * SIZE[1], colour)]


def test_frames_take_the_place_of_an_earlier_round_alone(tmp_path):
    """Frames are written anew, with none of the old round left; any other folder is kept."""
    folder = film(tmp_path / "round", [flat(c) for c in COLOURS])
    film(folder, [flat(c) for c in COLOURS[:3]])
    assert len(list(folder.iterdir())) == 3

    (folder / "letter.txt").write_text("dear crew")
    with pytest.raises(OutputError, match=r"something else than frames, such as 'letter\.txt'"):
        film(folder, [flat(c) for c in COLOURS])
    assert len(list(folder.iterdir())) == 4


@pytest.mark.parametrize("name", ["cup.mp4", "cup.webp", "round"])
def test_the_same_frames_give_the_same_bytes(tmp_path, name):
    rng = np.random.default_rng(1)
    frames = [rng.integers(0, 255, (*SIZE[::-1], 3), np.uint8) for _ in range(6)]
    found = []
    for folder in (tmp_path / "one", tmp_path / "two"):
        folder.mkdir()
        path = film(folder / name, frames)
        files = sorted(path.iterdir()) if path.is_dir() else [path]
        found.append([file.read_bytes() for file in files])

    assert found[0] == found[1]


@pytest.mark.parametrize("stop", [ValueError, KeyboardInterrupt])
@pytest.mark.parametrize("name", ["cup.mp4", "cup.webp", "round"])
def test_a_round_that_stops_leaves_what_was_there(tmp_path, name, stop):
    before = film(tmp_path / name, [flat(COLOURS[0])] * 3)
    kept = before.read_bytes() if before.is_file() else sorted(before.iterdir())

    def frames():
        yield flat(COLOURS[1])
        yield flat(COLOURS[2])
        raise stop

    with pytest.raises(stop):
        write_turntable(frames(), tmp_path / name, Round(*SIZE, 3, 2.0))

    assert kept == (before.read_bytes() if before.is_file() else sorted(before.iterdir()))
    assert [path.name for path in tmp_path.iterdir()] == [name]


@pytest.mark.parametrize(
    ("name", "cup_round", "sentence"),
    [
        ("cup.mp4", Round(541, 720, 48, 4.0), r"541x720 px.*Take even numbers, such as 542x720\."),
        ("cup.mp4", Round(540, 720, 48, 0.5), "48 frames in 0.5 s are more than 60 a second"),
        ("cup.webp", Round(2000, 2000, 100, 4.0), "Take at most 62 frames"),
        ("cup.gif", Round(540, 720, 48, 4.0), r"End the name in \.mp4 or \.webp"),
    ],
)
def test_what_cannot_be_filmed_is_told_in_one_sentence(tmp_path, name, cup_round, sentence):
    with pytest.raises(OutputError, match=sentence):
        check_turntable(tmp_path / name, cup_round)


def test_a_file_in_the_place_of_the_folder_is_told(tmp_path):
    (tmp_path / "round").write_bytes(b"")

    with pytest.raises(OutputError, match="PNG frames need a folder"):
        check_turntable(tmp_path / "round", Round(*SIZE, 48, 4.0))


def test_an_odd_size_is_no_fault_of_a_picture(tmp_path):
    for name in ("cup.webp", "round"):
        check_turntable(tmp_path / name, Round(541, 721, 48, 4.0))


def test_turns_are_even_steps_of_one_round():
    assert Round(*SIZE, 5, 2.0).turns_deg() == [0.0, 72.0, 144.0, 216.0, 288.0]
