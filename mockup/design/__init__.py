"""The design document: what it may hold, and how it is read, packed, written and told apart."""
