"""What a user is told is true and complete."""

import re
import shlex

import pytest
from click.testing import CliRunner

from mockup.faces.cli import cli

COMMANDS = sorted(cli.commands)


def _help(*words):
    return CliRunner().invoke(cli, [*words, "--help"], prog_name="tumbler-mockup").stdout


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_has_help_with_an_example_that_it_accepts(name):
    """The example is parsed by the command itself, so a renamed option cannot leave it behind."""
    example = re.search(r"Example:\n\s+tumbler-mockup (.+)\n", _help(name))
    assert example, f"the help of {name} has no example"
    command, *words = shlex.split(example[1])

    assert command == name
    assert cli.commands[name].make_context(name, words).params


@pytest.mark.parametrize("name", COMMANDS)
def test_every_option_is_explained(name):
    for param in cli.commands[name].params:
        if param.param_type_name == "option":
            assert param.help, f"{param.opts[0]} of {name} has no help"


def test_the_program_tells_every_command_in_a_whole_sentence():
    shown = _help()

    for name in COMMANDS:
        assert re.search(rf"^  {name} +[A-Z].*[^.]\.$", shown, re.MULTILINE), name
