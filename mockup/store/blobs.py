"""Files by the hash of their bytes: each is kept once, however many states name it."""

import hashlib
from collections.abc import Mapping

from sqlalchemy import Connection, insert, select

from mockup.errors import StoreError
from mockup.store.records import Files
from mockup.store.schema import blobs

__all__ = ["find_files", "save_files"]


def save_files(connection: Connection, files: Files) -> dict[str, str]:
    """Keep the bytes; gives the hash of each by name."""
    names = {name: hashlib.sha256(data).hexdigest() for name, data in files.items()}
    by_hash = {names[name]: data for name, data in files.items()}
    there = select(blobs.c.sha256).where(blobs.c.sha256.in_(by_hash))
    known = set(connection.scalars(there))
    new = [{"sha256": sha, "data": data} for sha, data in by_hash.items() if sha not in known]
    if new:
        connection.execute(insert(blobs), new)
    return names


def find_files(connection: Connection, names: Mapping[str, str], where: str) -> dict[str, bytes]:
    """The bytes of each name.

    Raises
    ------
    StoreError
        One is missing or no longer what it was.
    """
    wanted = select(blobs.c.sha256, blobs.c.data).where(blobs.c.sha256.in_(set(names.values())))
    found = {sha: bytes(data) for sha, data in connection.execute(wanted)}
    for name, sha in names.items():
        if hashlib.sha256(found.get(sha, b"")).hexdigest() != sha:
            raise StoreError(
                f"{name} is missing from the store or damaged",
                where=where,
                remedy="Restore the last backup",
            )
    return {name: found[sha] for name, sha in names.items()}
