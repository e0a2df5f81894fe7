"""For all tests: no example is timed, for machines differ and are busy."""

from hypothesis import settings

settings.register_profile("untimed", settings(), deadline=None)
settings.load_profile("untimed")
