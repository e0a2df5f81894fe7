"""The cup going round once, as a film: MP4, animated WebP, or a folder of PNG frames."""

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from mockup.errors import OutputError
from mockup.files import whole_file, whole_folder
from mockup.outputs.pictures import write_picture

__all__ = ["Round", "check_turntable", "write_turntable"]

Frames = Iterable[NDArray[np.uint8]]

FASTEST_HZ = 60
MOST_WEBP_PX = 250_000_000  # frames that Pillow keeps until the last: 750 MB
ITU709 = 1  # primaries, transfer and matrix, by their number in ITU-T H.273
LIMITED_RANGE = 1  # FFmpeg's number for luma codes 16 to 235
CRF = "18"  # x264's constant quality; nobody sees a loss, glitter included
THREADS = "4"  # fixed, since x264's bytes depend on how many there are
WEBP_QUALITY = 85
_FRAME = re.compile(r"frame-\d{3,}\.png")


@dataclass(frozen=True, slots=True)
class Round:
    """One round of the cup: frames at equal steps of turn, shown over `seconds`."""

    width_px: int
    height_px: int
    count: int
    seconds: float

    @property
    def rate_hz(self) -> Fraction:
        """Frames a second, exactly."""
        return self.count / Fraction(str(self.seconds))

    def turns_deg(self) -> list[float]:
        """Which turn of the cup faces the camera in each frame; the next one would be 360."""
        return [360 * i / self.count for i in range(self.count)]

    def shown_ms(self) -> list[int]:
        """How long each frame is shown: whole milliseconds that add up to the whole round."""
        ends = [round(1000 * self.seconds * i / self.count) for i in range(self.count + 1)]
        return [end - start for start, end in pairwise(ends)]


def check_turntable(path: Path, cup_round: Round) -> None:
    """See before the work that the file can be written.

    Raises
    ------
    OutputError
        The ending is unknown, the size is odd where the format wants it even, there are too many
        frames, or the folder holds something else.
    """
    if path.suffix.lower() not in _WRITERS:
        raise OutputError(
            f"a turntable is not written as {path.suffix}",
            where=str(path),
            remedy="End the name in .mp4 or .webp, or in nothing for a folder of PNG frames",
        )
    if cup_round.rate_hz > FASTEST_HZ:
        raise OutputError(
            f"{cup_round.count} frames in {cup_round.seconds:g} s are more than {FASTEST_HZ} a "
            "second, which screens do not show",
            where="--frames",
            remedy="Take fewer frames or more seconds",
        )
    _WRITERS[path.suffix.lower()].check(path, cup_round)


def write_turntable(frames: Frames, path: Path, cup_round: Round) -> None:
    """Write the frames, each (height, width, 3) uint8 sRGB, as they come; whole or not at all.

    Raises
    ------
    OutputError
        As `check_turntable`, or the file cannot be written.
    """
    check_turntable(path, cup_round)
    _WRITERS[path.suffix.lower()].write(frames, path, cup_round)


# -- MP4 -----------------------------------------------------------------------------------------
def _check_mp4(path: Path, cup_round: Round) -> None:
    width, height = cup_round.width_px, cup_round.height_px
    if width % 2 or height % 2:
        raise OutputError(
            f"an MP4 cannot be {width}x{height} px, since it keeps one colour for two by two",
            where="--size",
            remedy=f"Take even numbers, such as {width + width % 2}x{height + height % 2}",
        )


def _write_mp4(frames: Frames, path: Path, cup_round: Round) -> None:
    """H.264 in yuv420p with its index first, tagged ITU-R BT.709, a key frame each half second."""
    import av  # FFmpeg's libraries load only here

    options = {"crf": CRF, "preset": "medium", "threads": THREADS}
    with (
        whole_file(path) as part,
        av.open(str(part), "w", format="mp4", options={"movflags": "+faststart"}) as film,
    ):
        stream: Any = film.add_stream("libx264", rate=cup_round.rate_hz, options=options)
        stream.width, stream.height = cup_round.width_px, cup_round.height_px
        stream.pix_fmt = "yuv420p"
        stream.gop_size = max(1, round(cup_round.rate_hz / 2))  # quick to seek in
        codec = stream.codec_context
        codec.color_range = LIMITED_RANGE
        codec.colorspace = codec.color_primaries = codec.color_trc = ITU709
        for frame in _yuv_frames(frames):
            film.mux(stream.encode(frame))
        film.mux(stream.encode(None))


def _yuv_frames(frames: Frames) -> Iterator[Any]:
    from av import VideoFrame
    from av.video.reformatter import ColorRange, Colorspace, VideoReformatter

    reformatter = VideoReformatter()
    for rgb8_srgb in frames:
        yield reformatter.reformat(
            VideoFrame.from_ndarray(np.ascontiguousarray(rgb8_srgb), format="rgb24"),
            format="yuv420p",
            src_color_range=ColorRange.JPEG,
            dst_color_range=ColorRange.MPEG,
            dst_colorspace=Colorspace.ITU709,
            interpolation="AREA",
        )


# -- WebP ----------------------------------------------------------------------------------------
def _check_webp(path: Path, cup_round: Round) -> None:
    wanted = cup_round.width_px * cup_round.height_px * cup_round.count
    if wanted > MOST_WEBP_PX:
        most = MOST_WEBP_PX // (cup_round.width_px * cup_round.height_px)
        raise OutputError(
            f"{cup_round.count} frames of this size do not fit into memory together",
            where="--frames",
            remedy=f"Take at most {most} frames or a smaller size, or write an MP4",
        )


def _write_webp(frames: Frames, path: Path, cup_round: Round) -> None:
    """Lossy, going round for ever; for places that take pictures but no films."""
    first, *others = [Image.fromarray(frame) for frame in frames]
    with whole_file(path) as part:
        first.save(
            part,
            format="WEBP",
            save_all=True,
            append_images=others,
            duration=cup_round.shown_ms(),
            loop=0,
            quality=WEBP_QUALITY,
            method=0,
        )


# -- PNG frames ----------------------------------------------------------------------------------
def _check_folder(path: Path, cup_round: Round) -> None:
    if path.exists() and not path.is_dir():
        raise OutputError(
            "this is a file, and PNG frames need a folder",
            where=str(path),
            remedy="Name a folder, or end the name in .mp4 or .webp",
        )
    others = (
        [p.name for p in path.iterdir() if not _FRAME.fullmatch(p.name)] if path.exists() else []
    )
    if others:
        raise OutputError(
            f"the folder holds something else than frames, such as {min(others)!r}",
            where=str(path),
            remedy="Name a new folder for the frames",
        )


def _write_folder(frames: Frames, path: Path, cup_round: Round) -> None:
    digits = max(3, len(str(cup_round.count)))
    with whole_folder(path) as part:
        for nth, frame in enumerate(frames, start=1):
            write_picture(frame, part / f"frame-{nth:0{digits}d}.png")


@dataclass(frozen=True, slots=True)
class _Writer:
    check: Callable[[Path, Round], None]
    write: Callable[[Frames, Path, Round], None]


_WRITERS = {
    ".mp4": _Writer(_check_mp4, _write_mp4),
    ".webp": _Writer(_check_webp, _write_webp),
    "": _Writer(_check_folder, _write_folder),
}
