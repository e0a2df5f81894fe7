"""Scripts and styles of the parts, which lie beside their modules."""

from importlib.resources import files

__all__ = ["script", "style"]


def script(*names: str) -> str:
    """One script made of several files, in this order."""
    return "\n".join(_text(f"{name}.js") for name in names)


def style(*names: str) -> str:
    """One style sheet made of several files."""
    return "\n".join(_text(f"{name}.css") for name in names)


def _text(name: str) -> str:
    return files(__package__).joinpath(name).read_text("utf-8")
