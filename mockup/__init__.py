"""See a decorated tumbler before the first coat: design, 3D picture, palettes, proof."""

__version__ = "0.1.0"
