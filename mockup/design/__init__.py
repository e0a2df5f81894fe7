"""The design document: what it may hold, how it is read, packed and fingerprinted. No algorithms."""
