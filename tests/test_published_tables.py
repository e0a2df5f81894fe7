import pytest

from tests.published_tables import HEADER_KEYS, PUBLISHED, header, rows

NAMES = sorted(path.stem for path in PUBLISHED.glob("*.csv"))


@pytest.mark.parametrize("name", NAMES)
def test_every_published_table_says_where_it_comes_from(name):
    assert set(HEADER_KEYS) <= set(header(name))
    assert all(header(name).values())


@pytest.mark.parametrize("name", NAMES)
def test_every_row_is_whole(name):
    table = rows(name)

    assert table
    assert all(None not in row and all(row.values()) for row in table)
