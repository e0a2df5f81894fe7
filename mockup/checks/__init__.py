"""Findings about a design: lists of data, nothing is raised."""
