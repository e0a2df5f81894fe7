"""The child's side of drawing an SVG: text on standard input, PNG on standard output.

Run as a script with width, height and seconds; it imports nothing of this package.
"""

import contextlib
import sys

MOST_MEMORY = 4 << 30  # bytes of address space


def _limit(seconds: int) -> None:
    try:
        import resource
    except ImportError:  # not on Windows; there the parent's clock alone holds
        return
    limits = (
        (resource.RLIMIT_AS, MOST_MEMORY),
        (resource.RLIMIT_CPU, 2 * seconds),
        (resource.RLIMIT_CORE, 0),
    )
    for what, most in limits:
        with contextlib.suppress(ValueError, OSError):
            resource.setrlimit(what, (most, most))


def _main() -> int:
    width_px, height_px, seconds = (int(a) for a in sys.argv[1:4])
    _limit(seconds)
    import resvg_py

    text = sys.stdin.buffer.read().decode()
    try:
        png = resvg_py.svg_to_bytes(
            svg_string=text, dpi=96, width=width_px, height=height_px, skip_system_fonts=True
        )
    except ValueError as error:
        print(error, file=sys.stderr)
        return 1
    sys.stdout.buffer.write(bytes(png))
    return 0


if __name__ == "__main__":
    sys.exit(_main())
