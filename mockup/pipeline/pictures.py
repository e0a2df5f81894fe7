"""From a design file to pictures and proofs."""

from collections.abc import Mapping
from pathlib import Path
from typing import Literal

from mockup.files import write_whole
from mockup.outputs.pictures import write_linear, write_picture
from mockup.outputs.proof import lay_out_proof
from mockup.outputs.proof_facts import proof_facts
from mockup.outputs.scene import write_scene
from mockup.pipeline.cup import Quiet, Shot, build_cup, opened, part, picture_request, render_cup
from mockup.progress import Progress
from mockup.render.lights import light_label
from mockup.render.process import RenderProcess

__all__ = ["proof", "render"]


def render(
    path: Path,
    output: Path,
    *,
    shot: Shot,
    palette: str | None = None,
    light: str | None = None,
    linear: Path | None = None,
    scene: Path | None = None,
    progress: Progress = Quiet,
) -> None:
    """Read a design, draw it and write the picture (and its radiance, and its scene)."""
    design = opened(path, palette, light)
    with RenderProcess() as renderer:
        renderer.start()  # it warms up while the skin is compiled
        cup = build_cup(design, progress=part(progress, 0.0, 0.4))
        name = light or design.document.light
        picture = render_cup(
            cup,
            shot,
            renderer,
            light=name,
            keep_linear=linear is not None,
            progress=part(progress, 0.4, 0.95),
        )
    write_picture(picture.rgba8_srgb, output)
    if linear is not None and picture.linear is not None:
        write_linear(picture.linear, linear)
    if scene is not None:
        write_scene(cup.model, picture_request(cup, shot, name), scene)
    progress(1.0, "done")


VIEWS: Mapping[str, float] = {"Front": 0.0, "Right": 60.0, "Back": 180.0, "Left": -60.0}


def proof(
    path: Path,
    output: Path,
    *,
    paper: Literal["a4", "letter"] = "a4",
    palette: str | None = None,
    light: str | None = None,
    progress: Progress = Quiet,
) -> None:
    """Read a design and write the proof sheet for the customer."""
    design = opened(path, palette, light)
    name = light or design.document.light
    with RenderProcess() as renderer:
        renderer.start()
        cup = build_cup(design, progress=part(progress, 0.0, 0.3))
        views = {}
        for i, (label, turn_deg) in enumerate(VIEWS.items()):
            progress(0.3 + 0.15 * i, f"drawing the {label.lower()}")
            large = Shot(960, 1280) if i == 0 else Shot(600, 800)
            shot = Shot(large.width_px, large.height_px, turn_deg=turn_deg)
            views[label] = render_cup(cup, shot, renderer, light=name).rgba8_srgb
    progress(0.92, "laying out the sheet")
    facts = proof_facts(
        design, cup.blank, cup.model.skin, cup.optics(), views, light=light_label(name)
    )
    write_whole(output, lay_out_proof(facts, paper=paper))
    progress(1.0, "done")
