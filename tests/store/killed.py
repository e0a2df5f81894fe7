"""Writers that are killed at any moment: ``python -m tests.store.killed PLACE TIMES SEED``.

Prints, as JSON lines, what the store had acknowledged before each kill. Everything is imported
once; each writer is a fork.
"""

import json
import os
import random
import signal
import sys
import time
from datetime import UTC, datetime

from mockup.receipt import Receipt, write_receipt
from mockup.store import open_store
from tests.store.small import small_design


def write_on(place, told):
    """Save, freeze, prove and approve without end; tell of each once the call has returned."""

    def tell(**what):
        os.write(told, json.dumps(what).encode() + b"\n")

    with open_store(place) as store:
        order = store.book.add_order("Regatta cups").id
        tell(order=order)
        draft = store.drafts.begin(order, small_design("0"))
        for i in range(1, 1_000_000):
            draft = store.drafts.save(draft, small_design(i))
            tell(step=draft.step, title=str(i), order=order)
            revision = store.revisions.freeze(draft)
            proof = store.proofs.add(revision)
            option = proof.options[0]
            receipt = Receipt(
                proof.id, proof.title, revision.number, option.palette, option.fingerprint,
                "approved", "", "Wen Harbour", datetime.now(UTC).isoformat(),
            )  # fmt: skip
            (reading,) = store.receipts.read(write_receipt(receipt, proof.key))
            assert reading.taken
            tell(approved=option.fingerprint, revision=revision.number, order=order)


def killed_once(place, words, wait_s):
    """Start a writer and kill it `wait_s` after its last of so many words; gives all it told."""
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reading)
        write_on(place, writing)
        os._exit(1)
    os.close(writing)
    with os.fdopen(reading, "rb") as pipe:
        told = [pipe.readline() for _ in range(words)]
        time.sleep(wait_s)
        os.kill(child, signal.SIGKILL)
        _, status = os.waitpid(child, 0)
        assert os.WTERMSIG(status) == signal.SIGKILL, "the writer ended by itself"
        return [*told, *pipe]


def main(place, times, seed):
    """Kill as often, at moments that the seed chooses."""
    chance = random.Random(int(seed))
    for _ in range(int(times)):
        for line in killed_once(place, chance.randint(1, 16), chance.uniform(0.0, 0.04)):
            print(line.decode().strip())


if __name__ == "__main__":
    main(*sys.argv[1:])
