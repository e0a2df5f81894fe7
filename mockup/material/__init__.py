"""Swatches and presets → optical channels."""
