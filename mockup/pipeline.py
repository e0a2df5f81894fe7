"""The table of contents: every stage is called once, in its order."""
