"""The commands, by what they are for; each imports what is heavy only when it runs."""
