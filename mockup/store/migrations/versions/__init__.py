"""One file a migration. A migration that went out is never changed; a new one is added."""
