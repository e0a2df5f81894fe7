"""Spectra, illuminants, differences and contrast; the only importer of colour-science."""
