"""Scene, light, the VTK host, the render process: maps → linear radiance → picture."""
