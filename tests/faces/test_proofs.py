"""The proof's command line: what it takes, and what it says when that does not go together."""

import pytest
from click.testing import CliRunner

from mockup.faces.cli import cli
from mockup.files import shipped

DEMO = str(shipped("textures", "regatta"))


def run(*words):
    return CliRunner().invoke(cli, ["proof", *map(str, words)])


@pytest.mark.parametrize("words", [(), (DEMO, "--order", "3")])
def test_it_wants_a_design_or_an_order(tmp_path, words):
    done = run(*words, "-o", tmp_path / "proof.pdf")

    assert done.exit_code == 2
    assert "Give a DESIGN, or --order N for that of an order." in done.output


def test_a_sheet_shows_one_palette(tmp_path):
    both = ("--palette", "deep-water", "--palette", "storm-silver")
    done = run(DEMO, "-o", tmp_path / "proof.pdf", *both)

    assert done.exit_code == 1
    assert "a sheet shows one palette, not 2. End the name in .html" in done.output
    assert list(tmp_path.iterdir()) == []


def test_an_ending_that_says_nothing_is_told(tmp_path):
    done = run(DEMO, "-o", tmp_path / "proof.docx")

    assert done.exit_code == 2
    assert "does not end in .pdf or .png or .html" in done.output


def test_an_order_that_is_not_there_is_told(tmp_path, monkeypatch):
    monkeypatch.setenv("TUMBLER_MOCKUP_STORE", f"sqlite:///{tmp_path / 'orders.sqlite'}")
    done = run("--order", "9", "-o", tmp_path / "proof.html")

    assert done.exit_code == 1
    assert "9" in done.output
