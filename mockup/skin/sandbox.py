"""Draws an admitted SVG in a process of its own, which may be killed without loss."""

import subprocess
import sys
from pathlib import Path

from mockup.errors import AssetError

__all__ = ["draw_svg"]

LIMIT_S = 20.0
_CHILD = Path(__file__).with_name("sandbox_child.py")


def draw_svg(
    text: str, *, width_px: int, height_px: int, name: str, where: str, limit_s: float = LIMIT_S
) -> bytes:
    """PNG bytes of an SVG, at most `width_px` by `height_px` in its own proportions.

    The drawing library is compiled code that hostile input can hang or bring down, so it runs in
    a child that has a time limit, and a memory limit where the system knows one.

    Raises
    ------
    AssetError
        The child took too long, died, or could not draw it.
    """
    command = [sys.executable, "-P", str(_CHILD), str(width_px), str(height_px), str(int(limit_s))]
    try:
        child = subprocess.run(
            command, input=text.encode(), capture_output=True, timeout=limit_s, check=False
        )
    except subprocess.TimeoutExpired as error:
        raise AssetError(
            f"{name} takes longer than {limit_s:g} s to draw",
            where=where,
            remedy="Simplify it (filters cost most) or save it as PNG",
        ) from error
    if child.returncode != 0:
        told = child.stderr.decode(errors="replace").strip().splitlines()
        reason = told[-1] if child.returncode == 1 and told else "it needs too much memory or time"
        raise AssetError(
            f"{name} cannot be drawn ({reason})",
            where=where,
            remedy="Simplify it or save it as PNG",
        )
    return child.stdout
