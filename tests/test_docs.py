"""What a user is told is true and complete."""

import re
import shlex

import pytest
from click.testing import CliRunner

from mockup.faces.cli import cli

COMMANDS = sorted(cli.commands)
ALL = {
    name: command
    for word, top in cli.commands.items()
    for name, command in [
        (word, top),
        *((f"{word} {inner}", one) for inner, one in getattr(top, "commands", {}).items()),
    ]
}


def _help(*words):
    return CliRunner().invoke(cli, [*words, "--help"], prog_name="tumbler-mockup").stdout


@pytest.mark.parametrize("name", ALL)
def test_every_command_has_help_with_an_example_that_it_accepts(name):
    """The example is parsed by the command itself, so a renamed option cannot leave it behind."""
    example = re.search(r"Example:\n\s+tumbler-mockup (.+)\n", _help(*name.split()))
    assert example, f"the help of {name} has no example"
    words = shlex.split(example[1])

    assert " ".join(words).startswith(name)
    made = ALL[name].make_context(name, words[len(name.split()) :])
    assert made.params or hasattr(ALL[name], "commands")


@pytest.mark.parametrize("name", ALL)
def test_every_option_is_explained(name):
    for param in ALL[name].params:
        if param.param_type_name == "option":
            assert param.help, f"{param.opts[0]} of {name} has no help"


def test_the_program_tells_every_command_in_a_whole_sentence():
    shown = _help()

    for name in COMMANDS:
        assert re.search(rf"^  {name} +[A-Z].*[^.]\.$", shown, re.MULTILINE), name
