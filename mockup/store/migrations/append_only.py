"""Triggers that refuse to change or take out rows, in the words of each database."""

from alembic import op

__all__ = ["only_adds"]


def only_adds(table: str, *keys: str) -> None:
    """Refuse UPDATE, DELETE and whatever else would replace a row of `table`.

    Parameters
    ----------
    keys
        Its primary key and whatever else is unique, columns apart by spaces: SQLite's INSERT OR
        REPLACE takes rows out without asking triggers, unless it is refused beforehand.
    """
    if op.get_bind().dialect.name == "sqlite":
        for verb in ("UPDATE", "DELETE"):
            _sqlite(f"{table}_no_{verb.lower()}", f"{verb} ON {table}", "", table)
        same = " OR ".join(
            " AND ".join(f"{column} = NEW.{column}" for column in key.split()) for key in keys
        )
        there = f"WHEN EXISTS (SELECT 1 FROM {table} WHERE {same})"
        _sqlite(f"{table}_no_replace", f"INSERT ON {table}", there, table)
        return
    op.execute(
        "CREATE OR REPLACE FUNCTION refuse_change() RETURNS trigger LANGUAGE plpgsql AS $$ "
        "BEGIN RAISE EXCEPTION '% only grows', TG_TABLE_NAME; END $$"
    )
    op.execute(
        f"CREATE TRIGGER {table}_only_grows BEFORE UPDATE OR DELETE OR TRUNCATE ON {table} "
        "FOR EACH STATEMENT EXECUTE FUNCTION refuse_change()"
    )


def _sqlite(name: str, what: str, when: str, table: str) -> None:
    op.execute(
        f"CREATE TRIGGER {name} BEFORE {what} {when} "
        f"BEGIN SELECT RAISE(ABORT, '{table} only grows'); END"
    )
