"""One host and its stages: draws a request and develops it. Lives in the render process."""

from vtkmodules.vtkCommonCore import vtkCommand, vtkLogger, vtkOutputWindow

from mockup.errors import RenderError
from mockup.progress import Progress
from mockup.render.develop import Developer, Picture, decode
from mockup.render.host import Host
from mockup.render.lights import Light, find_light
from mockup.render.request import CupModel, Request
from mockup.render.stage import Stage, cup_slices, ground_light

__all__ = ["Session"]


class Session:
    """Keeps the host, the lights and the stages between pictures."""

    def __init__(self) -> None:
        self._complaints: list[str] = []
        vtkLogger.SetStderrVerbosity(vtkLogger.VERBOSITY_OFF)
        window = vtkOutputWindow.GetInstance()
        window.SetDisplayModeToNever()
        window.AddObserver(vtkCommand.ErrorEvent, self._complain)
        self._host: Host | None = None
        self._lights: dict[str, Light] = {}
        self._stages: dict[tuple[str, str], Stage] = {}

    def _complain(self, _: object, event: str) -> None:
        self._complaints.append(event)

    def picture(
        self,
        model: CupModel,
        request: Request,
        *,
        transparent: bool,
        keep_linear: bool,
        progress: Progress,
    ) -> Picture:
        """Draw and develop.

        Raises
        ------
        RenderError
            There is no OpenGL, or the driver refused the shader.
        """
        if self._host is None:
            progress(0.05, "opening the picture's window")
            self._host = Host()
        progress(0.2, "carrying the cup's maps to the renderer")
        self._host.load(model)
        before = len(self._complaints)
        light = self._light(request.light)
        self._host.prepare(request, light)
        ground = None
        if not transparent:
            below = decode(self._host.draw_below(request))
            stage = self._stage(light, model)
            ground = ground_light(stage, request.camera, request.width_px, request.height_px, below)
        developer = Developer(exposure=light.exposure, keep_linear=keep_linear)
        for sample, frame in enumerate(self._host.frames(request)):
            progress(0.35 + 0.6 * sample / request.samples, "drawing")
            developer.add(frame)
        if len(self._complaints) > before:
            raise RenderError(
                "the graphics driver refused the shading program",
                where="render",
                remedy="Use software OpenGL: install Debian's libgl1-mesa-dri and libegl1",
            )
        progress(0.95, "developing")
        return developer.picture(ground)

    def _light(self, name: str) -> Light:
        if name not in self._lights:
            self._lights[name] = find_light(name)
        return self._lights[name]

    def _stage(self, light: Light, model: CupModel) -> Stage:
        key = (light.name, model.key)
        if key not in self._stages:
            self._stages = {k: s for k, s in self._stages.items() if k[1] == model.key}
            self._stages[key] = Stage(light, cup_slices(model.positions))
        return self._stages[key]
