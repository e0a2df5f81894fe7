"""How older databases become newer ones: Alembic runs `versions` in order, each once."""
