"""The shading model: one GLSL source for every host, and the numpy laws that hold it."""
