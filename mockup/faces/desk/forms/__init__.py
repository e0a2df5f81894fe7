"""What can be set of the blank and of each kind of layer: one form a module."""
