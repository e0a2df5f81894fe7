"""From a design file to pictures."""

from pathlib import Path

from mockup.outputs.pictures import write_linear, write_picture
from mockup.outputs.scene import write_scene
from mockup.pipeline.cup import Quiet, Shot, build_cup, opened, part, picture_request, render_cup
from mockup.progress import Progress
from mockup.render.process import RenderProcess

__all__ = ["render"]


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
