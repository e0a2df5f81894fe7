import sys
from pathlib import Path

from tests import check


def _ends_with(code, mark):
    return [
        sys.executable,
        "-c",
        f"import pathlib, sys; pathlib.Path({str(mark)!r}).touch(); sys.exit({code})",
    ]


def test_it_stops_at_the_first_step_that_fails_with_its_exit_code(tmp_path, capfd):
    marks = [tmp_path / name for name in ("first", "second", "third")]

    code = check.run([_ends_with(code, mark) for code, mark in zip((0, 7, 0), marks, strict=True)])

    assert code == 7
    assert [mark.exists() for mark in marks] == [True, True, False]
    assert "failed with 7" in capfd.readouterr().err


def test_the_last_step_s_own_words_come_last(capfd):
    """So that pytest's summary, which tells how many passed, ends the output."""
    say = [[sys.executable, "-c", f"print({word!r})"] for word in ("checked", "9 passed")]

    assert check.run(say) == 0
    assert capfd.readouterr().out.splitlines()[-1] == "9 passed"


def test_pytest_comes_last_and_takes_the_words():
    *others, last = check.steps(["-k", "seam"])

    assert [Path(command[0]).name for command in others[3:]] == ["lint-imports"]
    assert [command[2] for command in others[:3]] == ["ruff", "ruff", "mypy"]
    assert last[2:] == ["pytest", "-q", *check.WORKERS, "-k", "seam"]
