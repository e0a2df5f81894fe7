"""Colour as numbers: sRGB and linear light, spectra and illuminants, differences in ΔE00.

The only package that may import colour-science, and only inside functions: it takes seconds.
"""

__all__ = ["difference", "spectra", "srgb"]
