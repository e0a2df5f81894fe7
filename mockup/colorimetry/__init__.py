"""Colour as numbers: sRGB and linear light, spectra and illuminants, differences and contrast.

The only package that may import colour-science, and only inside functions: it takes seconds.
"""

__all__ = ["cam16", "contrast", "difference", "spectra", "srgb", "vision"]
