"""The VTK host of shade.glsl: draws a cup off screen and reads encoded radiance back.

Everything here must run on the main thread of its process (see process.py). VTK's frame is 8-bit,
so the shader writes mantissas and a shared exponent; blending and multisampling are off. Triangles
are sorted by what covers them, so that only foil pays for foil.
"""

import os
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
import pyvista
from numpy.typing import NDArray
from vtkmodules.util.numpy_support import numpy_to_vtk, vtk_to_numpy
from vtkmodules.vtkCommonCore import VTK_FLOAT, vtkUnsignedCharArray
from vtkmodules.vtkCommonDataModel import vtkDataObject, vtkImageData
from vtkmodules.vtkRenderingCore import vtkActor
from vtkmodules.vtkRenderingOpenGL2 import (
    vtkOpenGLPolyDataMapper,
    vtkOpenGLTexture,
    vtkTextureObject,
)

from mockup.errors import RenderError
from mockup.files import source_text
from mockup.render.lights import Light
from mockup.render.request import Camera, CupModel, Request
from mockup.render.upload import defines, filtered_light, fours, sorted_triangles, subsample
from mockup.shading.artwork import artwork_lit
from mockup.shading.variant import Variant, variant_of

__all__ = ["Host"]

MOST_FRAME_PX = 16_384  # a side of a frame, on software OpenGL
GL_BLEND = 0x0BE2
GL_RGBA16F = 0x881A

_VERTEX_IN = """//VTK::PositionVC::Dec
in vec3 cupNormal;
in vec2 cupWall;
out vec3 spotPosition;
out vec3 spotNormal;
out vec2 spotWall;
"""
_VERTEX = """//VTK::PositionVC::Impl
  spotPosition = vertexMC.xyz; spotNormal = cupNormal; spotWall = cupWall;
"""
_FRAGMENT_IN = """//VTK::Picking::Dec
in vec3 spotPosition;
in vec3 spotNormal;
in vec2 spotWall;
"""
# `stage` turns the cup's frame into the stage's: cosine, sine; then pixel angle, sub-sample offset.
_FRAGMENT = """
  vec2 turn_ = stage.xy;
  vec3 n_ = normalize(spotNormal), d_ = eye.xyz - spotPosition;
  vec3 r_ = vec3(cos(spotWall.x), sin(spotWall.x), 0.0);
  vec3 v_ = normalize(d_);
#define TO_STAGE(a) vec3(turn_.x * a.x - turn_.y * a.y, turn_.y * a.x + turn_.x * a.y, a.z)
  Spot p_;
  p_.wall = spotWall; p_.radius = length(spotPosition.xy);
  p_.normal = TO_STAGE(n_); p_.right = TO_STAGE(r_); p_.view = TO_STAGE(v_);
  p_.up = cross(p_.normal, p_.right);
  p_.footprint = length(d_) * stage.z;
  int side_ = int(sampling.y);
  ivec2 at_ = ivec2(gl_FragCoord.xy) % side_;
  p_.offset = (float(at_.x + side_ * at_.y) + stage.w) / float(side_ * side_);
  vec3 radiance_ = SHADE(p_);
  gl_FragData[0] = encode(radiance_);
"""


@dataclass(slots=True)
class _Draw:
    """One group of triangles with its program."""

    actor: Any
    uniforms: Any


class Host:
    """Draws cups; keeps the last cup's textures and the lights it has filtered."""

    def __init__(self) -> None:
        if not os.environ.get("DISPLAY"):
            os.environ.setdefault("VTK_DEFAULT_OPENGL_WINDOW", "vtkEGLRenderWindow")
        self._plotter = pyvista.Plotter(off_screen=True, window_size=(16, 16), lighting="none")
        self._window = self._plotter.render_window
        self._window.SetMultiSamples(0)
        self._window.SetAlphaBitPlanes(1)
        self._renderer = self._plotter.renderer
        self._plotter.set_background((0, 0, 0))
        self._renderer.SetBackgroundAlpha(0.0)
        self._renderer.AddObserver("StartEvent", self._no_blending)
        self._lights: dict[str, tuple[Any, Any]] = {}
        self._model_key = ""
        self._model: CupModel | None = None
        self._draws: list[_Draw] = []
        self._variant: Variant | None = None
        self._kept: dict[str, Any] = {}
        self._arts: dict[str, Any] = {}
        self._last_table: tuple[NDArray[np.float32], Any] | None = None
        self._window.Render()  # makes the context
        if not self._window.SupportsOpenGL():
            raise RenderError(
                "there is no usable OpenGL 3.2 on this machine",
                where="render",
                remedy="Install Debian's libegl1 and libgl1-mesa-dri, then try again",
            )

    def _no_blending(self, *_: object) -> None:
        self._window.GetState().vtkglDisable(GL_BLEND)

    # -- what is drawn -------------------------------------------------------------------------
    def load(self, model: CupModel) -> None:
        """Upload a cup's maps and mesh, unless it is the one that is loaded."""
        if model.key == self._model_key:
            return
        self._model, self._model_key = model, model.key
        self._kept, self._arts = _upload_maps(model), {}
        self._clear()

    def _clear(self) -> None:
        for draw in self._draws:
            draw.actor.GetProperty().RemoveAllTextures()  # else they are freed with the actor
            self._renderer.RemoveActor(draw.actor)
        self._draws, self._variant = [], None

    def _bind(self, **textures: Any) -> None:
        """Give every draw these textures in place of the ones it had under the same names."""
        for draw in self._draws:
            prop = draw.actor.GetProperty()
            for name, texture in textures.items():
                if prop.GetTexture(name) is not texture:
                    prop.RemoveTexture(name)
                    prop.SetTexture(name, texture)

    def _table(self, table: NDArray[np.float32]) -> Any:
        if self._last_table is None or not np.array_equal(self._last_table[0], table):
            self._last_table = table, _byte_texture(table, smooth=False)
        return self._last_table[1]

    def _art(self, illuminant: str) -> Any:
        """Artwork as its spectra look under the illuminant, below the coat if there is one."""
        if illuminant not in self._arts:
            assert self._model is not None
            lit = artwork_lit(self._model.skin, illuminant)
            self._arts[illuminant] = _byte_texture(lit, srgb=True)
        return self._arts[illuminant]

    def _light(self, light: Light) -> tuple[Any, Any]:
        if light.name not in self._lights:
            filtered = filtered_light(light)
            self._lights[light.name] = (
                self._float_texture(filtered.mirror),
                self._float_texture(filtered.gloss),
            )
        return self._lights[light.name]

    def _float_texture(self, image: NDArray[np.float32]) -> Any:
        """A half-float texture with plain bilinear reads."""
        rows, columns, _ = image.shape
        rgba = np.ones((rows, columns, 4), np.float32)
        rgba[..., :3] = image
        texture_object = vtkTextureObject()
        texture_object.SetContext(self._window)
        texture_object.SetInternalFormat(GL_RGBA16F)
        texture_object.SetMinificationFilter(vtkTextureObject.Linear)
        texture_object.SetMagnificationFilter(vtkTextureObject.Linear)
        texture_object.SetWrapS(vtkTextureObject.ClampToEdge)
        texture_object.SetWrapT(vtkTextureObject.ClampToEdge)
        texture_object.Create2DFromRaw(columns, rows, 4, VTK_FLOAT, rgba)
        texture = vtkOpenGLTexture()
        texture.SetTextureObject(texture_object)
        texture.SetInterpolate(True)
        texture.owner = texture_object
        return texture

    def _build(self, variant: Variant) -> None:
        """Make one draw for each group of triangles that the same layers cover."""
        self._clear()
        model = self._model
        assert model is not None
        self._variant = variant
        for triangles, part, sheets, flakes in sorted_triangles(model):
            told = defines(model, variant, part, sheets=sheets, flakes=flakes)
            self._draws.append(self._actor(model, triangles, told))

    def _actor(self, model: CupModel, triangles: NDArray[np.uint32], told: dict[str, Any]) -> _Draw:
        mapper = vtkOpenGLPolyDataMapper()
        mapper.SetInputData(_poly_data(model, triangles))
        mapper.ScalarVisibilityOff()
        mapper.SetVBOShiftScaleMethod(0)
        for name in ("cupNormal", "cupWall"):
            mapper.MapDataArrayToVertexAttribute(
                name, name, vtkDataObject.FIELD_ASSOCIATION_POINTS, -1
            )
        mapper.AddObserver("UpdateShaderEvent", self._no_blending)
        actor = vtkActor()
        actor.SetMapper(mapper)
        actor.ForceOpaqueOn()
        actor.GetProperty().LightingOff()
        actor.GetProperty().BackfaceCullingOn()
        for name, texture in self._kept.items():
            actor.GetProperty().SetTexture(name, texture)
        source = "".join(f"#define {name} {value}\n" for name, value in told.items())
        source += source_text("mockup.shading", "shade.glsl")
        shader = actor.GetShaderProperty()
        add_v, add_f = shader.AddVertexShaderReplacement, shader.AddFragmentShaderReplacement
        add_v("//VTK::PositionVC::Dec", True, _VERTEX_IN, False)
        add_v("//VTK::PositionVC::Impl", True, _VERTEX, False)
        add_f("//VTK::Picking::Dec", True, _FRAGMENT_IN + source, False)
        add_f("//VTK::Light::Impl", True, _FRAGMENT, False)
        add_f("//VTK::TCoord::Impl", True, "// the shading source reads the maps itself\n", False)
        self._renderer.AddActor(actor)
        return _Draw(actor, shader.GetFragmentCustomUniforms())

    # -- drawing -------------------------------------------------------------------------------
    def prepare(self, request: Request, light: Light) -> None:
        """Bind what the request is drawn with: programs of its quality, its light, its table.

        Raises
        ------
        RenderError
            No cup is loaded.
        """
        if self._model is None:
            raise RenderError("no cup is loaded", where="render", remedy="Load a cup first")
        variant = variant_of(self._model.skin, request.table, request.foil)
        if self._variant != variant:
            self._build(variant)
        mirror, gloss = self._light(light)
        art = self._art(light.illuminant)
        self._bind(
            mirrorTex=mirror, glossTex=gloss, artTex=art, tableTex=self._table(request.table)
        )

    def frames(self, request: Request) -> Iterator[NDArray[np.uint8]]:
        """Draw the sub-samples: each a (height, width, 4) uint8 code of every pixel, row 0 on top.

        Four at a time are drawn side by side in a frame of twice the size, which wastes less at the
        edges of triangles; what cannot be split so is drawn one by one.
        """
        size, count = (request.width_px, request.height_px), request.samples
        side = 2 if count % 4 == 0 and max(size) * 2 <= MOST_FRAME_PX else 1
        for i in range(count // side**2):
            shift = subsample(i, count // side**2)
            code = self._shoot(request.camera, request.turn_rad, size, shift, count, side)
            for row in range(side):
                for column in range(side):
                    yield code[row::side, column::side]

    def draw_below(self, request: Request) -> NDArray[np.uint8]:
        """The cup's image in the table top at half size, one sample: (h, w, 4) uint8 code."""
        size = max(request.width_px // 2, 1), max(request.height_px // 2, 1)
        seen = self._shoot(request.camera.mirrored(), request.turn_rad, size, (0.5, 0.5, 0.5), 1, 1)
        return seen[:, ::-1]

    def _shoot(
        self,
        camera: Camera,
        turn_rad: float,
        size: tuple[int, int],
        shift: tuple[float, float, float],
        samples: int,
        side: int,
    ) -> NDArray[np.uint8]:
        """One frame; `shift` is the sample's place in the pixel and its offset in patterns."""
        pixel_angle = 2 * np.tan(np.radians(camera.fov_deg) / 2) / size[1]
        width_px, height_px = size[0] * side, size[1] * side
        # the cup stays, camera and light go round it: turn θ faces the camera
        cos, sin = np.cos(turn_rad), np.sin(turn_rad)

        def to_cup(v: tuple[float, float, float]) -> tuple[float, float, float]:
            return (cos * v[0] - sin * v[1], sin * v[0] + cos * v[1], v[2])

        view = self._renderer.GetActiveCamera()
        view.SetPosition(*to_cup(camera.position_mm))
        view.SetFocalPoint(*to_cup(camera.target_mm))
        view.SetViewUp(*to_cup(camera.up))
        view.SetViewAngle(camera.fov_deg)
        view.SetWindowCenter((2 * shift[0] - 1) / width_px, (2 * shift[1] - 1) / height_px)
        distance = float(np.linalg.norm(camera.position_mm))
        view.SetClippingRange(max(distance - 500, distance * 0.02), distance + 600)
        self._plotter.camera_set = True
        for draw in self._draws:
            draw.uniforms.SetUniform4f("stage", (cos, -sin, pixel_angle, shift[2]))
            draw.uniforms.SetUniform4f("sampling", (float(samples), float(side), 0.0, 0.0))
            draw.uniforms.SetUniform4f("eye", (*to_cup(camera.position_mm), 1.0))
        self._window.SetSize(width_px, height_px)
        self._window.Render()
        self._window.WaitForCompletion()
        pixels = vtkUnsignedCharArray()
        self._window.GetRGBACharPixelData(0, 0, width_px - 1, height_px - 1, 0, pixels, 0)
        image: NDArray[np.uint8] = vtk_to_numpy(pixels).reshape(height_px, width_px, 4)
        return image[::-1].copy()


def _upload_maps(model: CupModel) -> dict[str, Any]:
    """Textures of the skin's maps, by the names that the shader reads."""
    skin = model.skin
    kept: dict[str, Any] = {}
    if skin.relief is not None:
        kept["reliefTex"] = _byte_texture(skin.relief)
    held = {"edgeTex": skin.edge_distance, "fieldTex": skin.flake_coverage}
    for name, channels in fours(skin).items():
        maps = held[name[:-1]]
        four = np.zeros((*maps.shape[:2], 4), np.uint8)
        four[..., : len(channels)] = maps[..., channels]
        kept[name] = _byte_texture(four)
    return kept


def _byte_texture(image: NDArray[Any], *, srgb: bool = False, smooth: bool = True) -> Any:
    """A texture of a map as it is, without mip levels."""
    rows, columns = image.shape[:2]
    data = vtkImageData()
    data.SetDimensions(columns, rows, 1)
    scalars = numpy_to_vtk(np.ascontiguousarray(image).reshape(rows * columns, -1), deep=True)
    scalars.SetName("map")
    data.GetPointData().SetScalars(scalars)
    texture = vtkOpenGLTexture()
    texture.SetInputData(data)
    texture.SetInterpolate(smooth)
    texture.SetMipmap(False)
    texture.SetMaximumAnisotropicFiltering(1.0)  # more gives wrong colours on software GL
    texture.SetColorModeToDirectScalars()
    texture.SetRepeat(smooth)
    if not smooth:
        texture.EdgeClampOn()
    if srgb:
        texture.UseSRGBColorSpaceOn()
    return texture


def _poly_data(model: CupModel, triangles: NDArray[np.uint32]) -> Any:
    surface = pyvista.PolyData()
    surface.points = model.positions
    surface.faces = np.c_[np.full(len(triangles), 3), triangles].ravel()
    for name, values in (("cupNormal", model.normals), ("cupWall", model.turn_height)):
        array = numpy_to_vtk(np.ascontiguousarray(values, np.float32), deep=True)
        array.SetName(name)
        surface.GetPointData().AddArray(array)
    return surface
