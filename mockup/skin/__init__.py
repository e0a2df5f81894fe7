"""The stack of layers → maps over the wall."""
