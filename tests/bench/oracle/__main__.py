"""Write the scenes, or compare our pictures with the traced ones.

python -m tests.bench.oracle scenes FOLDER      scene files for trace.py
python -m tests.bench.oracle report FOLDER      our renders beside TRACED files in FOLDER
"""

import sys
from pathlib import Path

import numpy as np
from PIL import Image

from mockup.colorimetry.difference import delta_e_2000, lab_from_linear_srgb
from mockup.colorimetry.srgb import rgb8_from_linear
from mockup.render import lights
from mockup.render.session import Session
from tests.bench.oracle.scenes import (
    CASES,
    band_limits,
    bench_light,
    heights_seen,
    our_model,
    our_request,
    write_case,
)

EDGE_MM = 4.5


def report(folder: Path, samples: int = 16) -> None:
    for name in ("boxes", "panes"):
        lights._LIGHTS[name] = lambda name=name: bench_light(name)
    session = Session()
    heights = heights_seen()
    rows = []
    for case in CASES:
        path = folder / f"{case.name}.npz"
        if not path.exists():
            continue
        traced = np.load(path)
        oracle = traced["mean"][..., :3].astype(float)
        model, table = our_model(case)
        picture = session.picture(
            model,
            our_request(case, table, samples),
            transparent=True,
            keep_linear=True,
            progress=lambda share, what: None,
        )
        ours = picture.linear.astype(float)
        whole = ours[..., 3] > 0.999
        exposure = 0.7 / np.nanpercentile(oracle[whole], 97)
        a, b = (lab_from_linear_srgb(np.clip(x * exposure, 0, 1)) for x in (ours[..., :3], oracle))
        far = delta_e_2000(a, b)
        noise = delta_e_2000(
            lab_from_linear_srgb(
                np.clip((oracle + traced["noise"][..., :3].astype(float)) * exposure, 0, 1)
            ),
            b,
        )
        for band, (low, high) in zip(case.bands, band_limits(case), strict=True):
            on = whole & (heights > low + EDGE_MM) & (heights < high - EDGE_MM)
            ratio = ours[on][:, :3].mean(0) / oracle[on].mean(0)
            print(
                f"{case.name:18s} {band.metal or band.colour:10s} {band.alpha[0]:.2f}  median {np.median(far[on]):5.2f}  p95 {np.percentile(far[on], 95):5.2f}  ours/oracle {np.round(ratio, 3)}  noise {np.median(noise[on]):.2f}"
            )
        shown = [rgb8_from_linear(np.clip(x * exposure, 0, 1)) for x in (ours[..., :3], oracle)]
        difference = np.repeat(np.clip(far / 6, 0, 1)[..., None] * 255, 3, -1).astype(np.uint8)
        rows.append(np.concatenate([*shown, difference], 1))
    Image.fromarray(np.concatenate(rows)).save(folder / "sheet.png")


if __name__ == "__main__":
    folder = Path(sys.argv[2])
    if sys.argv[1] == "scenes":
        folder.mkdir(parents=True, exist_ok=True)
        for case in CASES:
            print(write_case(case, folder))
    else:
        report(folder)
