"""What the desk draws itself in the browser: a module each, its script and style beside it."""
