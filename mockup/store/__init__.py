"""Orders, drafts, revisions, proofs and approvals in a database; the only user of SQLAlchemy.

    from mockup.store import open_store

    with open_store() as store:
        order = store.book.add_order("Regatta cups", cups=8)
        draft = store.drafts.begin(order.id, design)

SQLite in the user's data folder, unless the environment variable TUMBLER_MOCKUP_STORE holds the
SQLAlchemy URL of another file or of a PostgreSQL database. What comes out are frozen records
(`mockup.store.records`); what goes wrong is a `StoreError`. A store may be used by any number of
threads, windows and commands at once: writers wait for one another, and every call that returned
is on disk.

`store.book`
    Customers and orders. ``add_customer``, ``change_customer``, ``customers``; ``add_order``,
    ``change_order``, ``close_order``, ``order``; ``lines`` is the order book with each order's
    `Standing`: its state, whom it waits for and since when, worked out from what is on record.
`store.drafts`
    The working copy of an order's design. ``begin``, ``current``, ``save(seen, design)`` after
    every change, ``undo``, ``redo``, ``history``, ``files_of``, ``take``. Each takes the `Draft`
    that the caller last saw and gives the next one. If another window has moved on, it raises
    `StaleRecord`; what ``save`` was given is then kept as step ``error.kept``, so nothing is lost,
    and ``take`` makes it the draft again. Undo works across restarts.
`store.revisions`
    ``freeze(draft)`` gives a numbered revision that never changes; ``find``.
`store.proofs`
    ``add(revision, palettes=…, light=…)`` makes a proof with a random key and the fingerprint of
    each option; ``note_sent``, ``find``, ``of_order``.
`store.receipts`
    ``read(text)`` takes every receipt in a text such as a pasted mail and gives a `Reading` of
    each: taken, or refused with its reason in ``words``; ``of_order`` lists what was answered.
`store.approvals`
    ``of(fingerprint)`` and ``of_order`` give the `Approval`; ``note`` records one that came without
    a receipt, such as by a signed sheet. `approval_words` tells it as cut sheets do.
`store.materials`
    The maker's own materials. ``enter(product)``, ``change``, ``find``, ``all``;
    ``show(material, swatch, measured=…, photos=…)`` says how one looks from now on, ``looks`` how
    it looked before.
`store.stock`
    What there is of them, as moves that are only added: ``buy``, ``use``, ``count``,
    ``reserve(order, takes)``, ``give_back``; ``of_order``, ``moves``. Closing an order settles
    what it had reserved.
`store.used`
    What was really used against what was planned: ``factor(material)`` with its spread.
`store.finished`
    ``add(order, …)`` keeps a photo of a finished cup with the facts of holding it against its
    proof; ``of_order``, ``photo_of``, ``picture_of``.

`mockup.store.shelving` takes the shelf out as entries that files hold, and in again.
`mockup.store.backup` writes the whole store to one file and brings it back.

Designs go in as a `Design` or as files by name, which may be unfinished; ``Draft.design()`` and
``Revision.design()`` read them.
"""

from mockup.store.approvals import approval_words
from mockup.store.records import StaleRecord
from mockup.store.store import Store, open_store

__all__ = ["StaleRecord", "Store", "approval_words", "open_store"]
