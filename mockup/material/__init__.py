"""Swatches and presets → optical channels."""

__all__ = ["channels", "coat", "fresnel", "metals", "optics"]
