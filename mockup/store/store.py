"""Opens the store."""

from dataclasses import dataclass
from pathlib import Path
from types import TracebackType

from mockup.store.approvals import Approvals
from mockup.store.book import Book
from mockup.store.connect import Connector, connector_for, make_file
from mockup.store.drafts import Drafts
from mockup.store.finished import FinishedCups
from mockup.store.materials import Materials
from mockup.store.receipts import Receipts
from mockup.store.revisions import Proofs, Revisions
from mockup.store.stock import Stock
from mockup.store.upgrade import bring_up_to_date
from mockup.store.used import Used

__all__ = ["Store", "open_store"]


@dataclass(frozen=True, slots=True)
class Store:
    """An open store. Any number of threads may use one; ``with`` closes it.

    `older_copy` is the copy that was kept if opening it upgraded an older store.
    """

    at: Connector
    older_copy: Path | None = None

    @property
    def where(self) -> str:
        """Its file, or its address without the password."""
        return self.at.where

    @property
    def book(self) -> Book:
        """Customers, orders and where they stand."""
        return Book(self.at)

    @property
    def drafts(self) -> Drafts:
        """Working copies with their history."""
        return Drafts(self.at)

    @property
    def revisions(self) -> Revisions:
        """Designs that never change again."""
        return Revisions(self.at)

    @property
    def proofs(self) -> Proofs:
        """What was shown to customers."""
        return Proofs(self.at)

    @property
    def receipts(self) -> Receipts:
        """What customers answered."""
        return Receipts(self.at)

    @property
    def approvals(self) -> Approvals:
        """What customers approved."""
        return Approvals(self.at)

    @property
    def materials(self) -> Materials:
        """What is told of the maker's own materials."""
        return Materials(self.at)

    @property
    def stock(self) -> Stock:
        """What there is of them."""
        return Stock(self.at)

    @property
    def used(self) -> Used:
        """What was really used of them against what was planned."""
        return Used(self.at)

    @property
    def finished(self) -> FinishedCups:
        """Photos of finished cups held against their proofs."""
        return FinishedCups(self.at)

    def close(self) -> None:
        """Let go of the database."""
        self.at.engine.dispose()

    def __enter__(self) -> "Store":
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()


def open_store(place: str | Path | None = None) -> Store:
    """Open the store at `place`, made or upgraded if need be.

    Parameters
    ----------
    place
        A SQLite file, or an SQLAlchemy URL. None takes the environment variable
        TUMBLER_MOCKUP_STORE, which holds such a URL, or else ``orders.sqlite`` in the user's data
        folder.

    Raises
    ------
    StoreError
        It cannot be reached, is of a newer version, or is no store.
    """
    connector = connector_for(place)
    make_file(connector)
    try:
        return Store(connector, bring_up_to_date(connector))
    except BaseException:
        connector.engine.dispose()
        raise
