"""Command line, app and viewer: they parse, call and show; they decide nothing."""
