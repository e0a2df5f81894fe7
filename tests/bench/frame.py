"""How long a picture takes, and VTK's own physically-based shading of the same cup beside it.

python -m tests.bench.frame

Cold is a process of its own from start to file. Warm is the next picture in the same process.
VTK draws the same mesh with textures of the same size, coat, image-based light and as many
samples a pixel, in this process, between the warm pictures, so that both meet the same machine.
"""

import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pyvista
import vtk
from vtkmodules.util.numpy_support import numpy_to_vtk

from mockup import pipeline
from mockup.design.read import read_design
from mockup.files import shipped
from mockup.render.host import Host
from mockup.render.lights import find_light
from mockup.render.process import RenderProcess

WIDTH, HEIGHT, SAMPLES, ROUNDS = 1200, 1600, 4, 5
DEMO = shipped("textures", "regatta")


def cold() -> float:
    """Seconds of `render` in a fresh process."""
    with tempfile.TemporaryDirectory() as folder:
        program = Path(sys.executable).with_name("tumbler-mockup")
        start = time.perf_counter()
        size = ("--size", f"{WIDTH}x{HEIGHT}", "--samples", str(SAMPLES))
        subprocess.run(
            [program, "render", DEMO, "-o", f"{folder}/cup.png", *size],
            check=True,
            stdout=subprocess.DEVNULL,
        )
        return time.perf_counter() - start


def _image(values: np.ndarray) -> vtk.vtkImageData:
    data = vtk.vtkImageData()
    data.SetDimensions(values.shape[1], values.shape[0], 1)
    scalars = numpy_to_vtk(np.ascontiguousarray(values).reshape(-1, values.shape[-1]), deep=True)
    data.GetPointData().SetScalars(scalars)
    return data


def vtk_shading(cup: pipeline.Cup) -> Callable[[], None]:
    """A function that draws one picture by VTK's own shading."""
    model = cup.model
    surface = pyvista.PolyData()
    surface.points = model.positions
    surface.faces = np.c_[np.full(len(model.triangles), 3), model.triangles].ravel()
    surface.point_data["Normals"] = model.normals
    surface.GetPointData().SetActiveNormals("Normals")
    grid = model.skin.grid
    place = model.turn_height / np.array([2 * np.pi, grid.length_mm]) + [0.5, 0.0]
    surface.active_texture_coordinates = place.astype(np.float32)
    tangents = vtk.vtkPolyDataTangents()
    tangents.SetInputData(surface)
    tangents.Update()
    mesh = pyvista.wrap(tangents.GetOutput())
    plotter = pyvista.Plotter(off_screen=True, window_size=(2 * WIDTH, 2 * HEIGHT))
    plotter.render_window.SetMultiSamples(0)
    actor = plotter.add_mesh(mesh, pbr=True, metallic=1.0, roughness=0.25, smooth_shading=False)
    noise = np.random.default_rng(0).integers(0, 30, (*grid.shape, 3), dtype=np.uint8)
    for values, give in (
        (model.skin.art_rgba8_srgb[..., :3], actor.prop.SetBaseColorTexture),
        (noise + np.array([113, 113, 225], np.uint8), actor.prop.SetNormalTexture),
        (noise + np.array([220, 60, 220], np.uint8), actor.prop.SetORMTexture),
    ):
        texture = pyvista.numpy_to_texture(np.ascontiguousarray(values))
        texture.MipmapOn()
        texture.InterpolateOn()
        if give == actor.prop.SetBaseColorTexture:
            texture.UseSRGBColorSpaceOn()
        give(texture)
    actor.prop.SetCoatStrength(1.0)
    actor.prop.SetCoatRoughness(0.03)
    actor.prop.SetCoatIOR(1.5)
    actor.mapper.SetInputData(mesh)
    sky = vtk.vtkTexture()
    sky.SetInputData(_image(find_light("softbox").radiance[::-1]))
    sky.MipmapOn()
    sky.InterpolateOn()
    sky.SetColorModeToDirectScalars()
    plotter.renderer.UseImageBasedLightingOn()
    plotter.renderer.SetEnvironmentTexture(sky, False)
    plotter.renderer.UseSphericalHarmonicsOn()
    plotter.remove_all_lights()
    camera = pipeline.picture_request(cup, pipeline.Shot(WIDTH, HEIGHT), "softbox").camera
    view = plotter.renderer.GetActiveCamera()
    view.SetPosition(*camera.position_mm)
    view.SetFocalPoint(*camera.target_mm)
    view.SetViewUp(0, 0, 1)
    view.SetViewAngle(camera.fov_deg)
    view.SetClippingRange(100, 3000)
    plotter.camera_set = True

    def draw() -> None:
        view.Azimuth(2)
        plotter.render_window.Render()
        plotter.render_window.WaitForCompletion()

    draw()
    return draw


def our_shading(cup: pipeline.Cup) -> Callable[[], None]:
    """A function that draws it by our shading: every sub-sample and the reflection."""
    host, light = Host(), find_light("softbox")
    request = pipeline.picture_request(
        cup, pipeline.Shot(WIDTH, HEIGHT, samples=SAMPLES), "softbox"
    )
    host.load(cup.model)

    def draw() -> None:
        host.prepare(request, light)
        host.draw_below(request)
        for _ in host.frames(request):
            pass

    draw()
    return draw


def _timed(draw: Callable[[], None]) -> tuple[float, float]:
    wall, processor = time.perf_counter(), time.process_time()
    draw()
    return time.perf_counter() - wall, time.process_time() - processor


def main() -> None:
    """Print the figures."""
    print(f"cold, from start to file: {cold():.2f} s")
    cup = pipeline.build_cup(read_design(DEMO))
    shot = pipeline.Shot(WIDTH, HEIGHT, samples=SAMPLES)
    with RenderProcess() as renderer:
        pipeline.render_cup(cup, shot, renderer)
        again = lambda: pipeline.render_cup(cup, shot, renderer) and None  # noqa: E731
        warm = [_timed(again)[0] for _ in range(ROUNDS)]
    print(f"the next picture in the same process: {statistics.median(warm):.2f} s")
    ours, theirs = our_shading(cup), vtk_shading(cup)
    rounds = [(*_timed(ours), *_timed(theirs)) for _ in range(ROUNDS)]
    a, b, c, d = (statistics.median(column) for column in zip(*rounds, strict=True))
    print(f"shading alone: ours {a:.2f} s wall, {b:.2f} s CPU")
    print(f"VTK's own:          {c:.2f} s wall, {d:.2f} s CPU")
    print(f"ratio: {a / c:.2f} wall, {b / d:.2f} CPU")


if __name__ == "__main__":
    main()
