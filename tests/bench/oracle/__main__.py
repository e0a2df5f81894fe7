"""Our renderer beside a path tracer.

python -m tests.bench.oracle                 compare with the stored references, write a sheet
python -m tests.bench.oracle scenes FOLDER   write scene files for trace.py
python -m tests.bench.oracle eye FOLDER      what an eye sees of scenes traced by wavelength
"""

import sys
from pathlib import Path

import numpy as np
from PIL import Image

from mockup.colorimetry.spectra import linear_srgb_from_reflectance
from mockup.colorimetry.srgb import rgb8_from_linear
from mockup.files import shipped
from mockup.render.session import Session
from tests.bench.oracle.compare import REFERENCES, cupful, open_session, smooth, sparkle, stored
from tests.bench.oracle.glitter import PATCHES, write_patch
from tests.bench.oracle.scenes import CASES, write_case
from tests.bench.oracle.whole import whole, write_whole

DEMO = shipped("textures", "regatta")


def report(sheet: Path) -> None:
    """Print every figure and write ours, traced and difference side by side."""
    with open_session() as session:
        _report(session, sheet)


def _report(session: Session, sheet: Path) -> None:
    rows = []
    print("smooth materials                     median   p95   ours / traced (R G B)")
    for case in CASES:
        found = smooth(session, case)
        print(f"{case.name:34s} {found.median:6.2f} {found.p95:6.2f}")
        for name, median, p95, ratio in found.bands:
            print(f"    {name:30s} {median:6.2f} {p95:6.2f}   {np.round(ratio, 3)}")
        ours, traced, far = found.pictures
        pictures = [rgb8_from_linear(x) for x in (ours, traced)]
        grey = np.repeat(np.clip(far / 6, 0, 1)[..., None] * 255, 3, -1).astype(np.uint8)
        rows.append(np.concatenate([*pictures, grey], 1))
    print("glitter, the same flakes             mean    p99/mean   correlation   (ours / traced)")
    for patch in PATCHES:
        seen = sparkle(session, patch)
        print(f"{patch.name:34s} {seen.mean:6.3f} {seen.p99:8.3f} {seen.correlation:10.3f}")
    whole_cup = cupful(session, whole(DEMO, samples=16), stored("whole_regatta"))
    print("a whole design                       median   p95   ours / traced (R G B)")
    told = np.round(whole_cup.ratio, 3)
    print(f"{'whole_regatta':34s} {whole_cup.median:6.2f} {whole_cup.p95:6.2f}   {told}")
    half = (len(rows) + 1) // 2
    columns = [np.concatenate(part) for part in (rows[:half], rows[half:])]
    Image.fromarray(np.concatenate(columns, 1)).save(sheet)
    print(f"ours, traced, difference (white is ΔE00 6): {sheet}")


def see(folder: Path) -> None:
    """Store what an eye that is adapted to each case's illuminant sees of its traced spectra."""
    for case in CASES:
        if not case.scene:
            continue
        with np.load(folder / f"{case.scene}.npz") as traced:
            spectra = traced["mean"].astype(float)
            at_nm = traced["nm"]
        seen = linear_srgb_from_reflectance(at_nm, spectra, case.illuminant)
        np.savez_compressed(REFERENCES / f"{case.name}.npz", mean=seen.astype(np.float16))
        print(f"stored {case.name}")


if __name__ == "__main__":
    if len(sys.argv) == 3 and sys.argv[1] == "scenes":
        folder = Path(sys.argv[2])
        folder.mkdir(parents=True, exist_ok=True)
        for case in CASES:
            print(write_case(case, folder))
        for patch in PATCHES:
            print(write_patch(patch, folder))
        print(write_whole(whole(DEMO), folder, "whole_regatta"))
    elif len(sys.argv) == 3 and sys.argv[1] == "eye":
        see(Path(sys.argv[2]))
    else:
        report(Path("oracle.png"))
