"""What was rendered, so that anyone can set the same scene up in another renderer."""

import json
from pathlib import Path

import numpy as np

from mockup.errors import OutputError
from mockup.files import whole_file, write_whole
from mockup.render.lights import find_light
from mockup.render.request import CupModel, Request

__all__ = ["write_scene"]


def write_scene(model: CupModel, request: Request, path: Path) -> None:
    """Write `path` (JSON) and beside it the mesh (.mesh.npz) and the light map (.light.npy).

    All lengths are mm in the stage's frame: x to the right, y away from the camera, z up, the
    table at z = 0; the cup is already turned. The light map is latitude by longitude, its rows
    from the zenith down, its middle column towards −y, columns growing to +x, linear sRGB.

    Raises
    ------
    OutputError
        The name does not end in .json, or a file cannot be written.
    """
    if path.suffix.lower() != ".json":
        raise OutputError(
            f"a scene is written as JSON, not {path.suffix or 'without an ending'}",
            where=str(path),
            remedy="End the name after --scene in .json",
        )
    light = find_light(request.light)
    mesh, radiance = path.with_suffix(".mesh.npz"), path.with_suffix(".light.npy")
    cos, sin = np.cos(request.turn_rad), np.sin(request.turn_rad)
    stage_from_cup = np.array([[cos, sin, 0], [-sin, cos, 0], [0, 0, 1]])
    with whole_file(mesh) as part, part.open("wb") as file:
        np.savez_compressed(
            file,
            positions_mm=(model.positions @ stage_from_cup.T).astype(np.float32),
            normals=(model.normals @ stage_from_cup.T).astype(np.float32),
            turn_height=model.turn_height,
            triangles=model.triangles,
            part=model.part,
        )
    with whole_file(radiance) as part, part.open("wb") as file:
        np.save(file, light.radiance)
    camera = request.camera
    facts = {
        "camera": {
            "position_mm": camera.position_mm,
            "target_mm": camera.target_mm,
            "up": camera.up,
            "vertical_fov_deg": camera.fov_deg,
        },
        "size_px": [request.width_px, request.height_px],
        "samples": request.samples,
        "turn_deg": float(np.degrees(request.turn_rad)),
        "mesh": {"file": mesh.name, "parts": {"wall": 0, "steel": 1, "lid": 2}},
        "light": {"name": light.name, "file": radiance.name, "layout": "latitude-longitude"},
        "illuminant": light.illuminant,
        "exposure": light.exposure,
    }
    write_whole(path, (json.dumps(facts, indent=2) + "\n").encode())
