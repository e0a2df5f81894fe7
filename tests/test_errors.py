"""Every error says what is wrong, where, and what to do, wherever it is raised."""

import pickle

import pytest

from mockup import errors
from mockup.errors import DesignError, MockupError, UnknownName


def _kinds():
    return [getattr(errors, name) for name in errors.__all__]


def test_an_error_reads_as_one_sentence_and_its_cure():
    error = DesignError("5 mm is too small", where="design.toml: blank", remedy="Give 10 or more")

    assert str(error) == "design.toml: blank: 5 mm is too small. Give 10 or more."


@pytest.mark.parametrize("kind", _kinds())
def test_every_error_is_one_of_ours_and_crosses_to_another_process(kind):
    """The render process sends its errors back by pickle."""
    if kind is UnknownName:
        error = UnknownName("palette", "neaps", ["neap"], where="design.toml")
    else:
        error = kind("too dark", where="here", remedy="Light it")

    again = pickle.loads(pickle.dumps(error))

    assert isinstance(error, MockupError)
    assert type(again) is kind
    assert str(again) == str(error)
    assert (again.problem, again.where, again.remedy) == (error.problem, error.where, error.remedy)


def test_an_unknown_name_is_answered_with_the_nearest():
    error = UnknownName("light", "sofbox", ["window", "softbox"], where="design.toml: light")

    assert str(error) == "design.toml: light: no light is named 'sofbox'. Use 'softbox'."


def test_a_name_like_no_other_is_answered_with_some_that_are_known():
    error = UnknownName("light", "?", ["window", "lamp"], where="design.toml")

    assert error.remedy == "Use 'lamp' or 'window'"


def test_where_nothing_is_known_the_cure_is_to_add_it():
    assert UnknownName("palette", "neap", [], where="x").remedy == "Add a palette first"


def test_the_tree_is_drawn_as_it_is():
    """The module's docstring lists every error, indented below the one it is a kind of."""
    lines = [line for line in errors.__doc__.splitlines() if "──" in line]
    above = {"": "MockupError"}
    for line in lines:
        mark, _, name = line.partition("── ")
        name = name.split()[0]
        above[mark.replace("├", "│").replace("└", "│")] = name
        parent = "DesignError" if mark.startswith("│") else "MockupError"

        assert getattr(errors, name).__bases__ == (getattr(errors, parent),)
    assert len(lines) + 1 == len(errors.__all__)
