"""A PostgreSQL server of our own, on a socket in a folder of its own."""

import os
import pwd
import shutil
import signal
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

__all__ = ["running_server"]

HOMES = Path("/usr/lib/postgresql")


@contextmanager
def running_server() -> Iterator[str]:
    """Start a server; gives the folder of its socket. Nothing listens on the network.

    The server refuses to be run by root, so root runs it as the package's own user.
    """
    homes = sorted(HOMES.glob("*/bin/initdb"), key=lambda path: int(path.parts[-3]))
    assert homes, "PostgreSQL is not installed: apt-get install postgresql"
    home = homes[-1].parent
    folder = Path(tempfile.mkdtemp(prefix="mockup-postgresql-", dir="/tmp"))
    user, wrapped = pwd.getpwuid(os.getuid()).pw_name, []
    if os.getuid() == 0:
        user = "postgres"
        shutil.chown(folder, user, user)
        wrapped = ["setpriv", f"--reuid={user}", f"--regid={user}", "--clear-groups"]
    try:
        subprocess.run(
            [*wrapped, home / "initdb", "-D", folder / "data", "-U", "maker", "-A", "trust"],
            check=True, capture_output=True, cwd="/",
        )  # fmt: skip
        server = subprocess.Popen(
            [
                *wrapped, home / "postgres", "-D", folder / "data", "-k", folder,
                "-c", "listen_addresses=", "-c", "fsync=off",
            ],
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, cwd="/",
        )  # fmt: skip
        try:
            _wait_for(home, folder, server)
            yield str(folder)
        finally:
            server.send_signal(signal.SIGQUIT)  # at once: what it holds is thrown away
            server.wait(60)
    finally:
        shutil.rmtree(folder)


def _wait_for(home: Path, folder: Path, server: subprocess.Popen[bytes]) -> None:
    ready = [home / "pg_isready", "-h", folder, "-q", "-t", "60"]
    for _ in range(600):
        assert server.poll() is None, "the server ended at once"
        if subprocess.run(ready, check=False).returncode == 0:
            return
        try:
            server.wait(0.1)
        except subprocess.TimeoutExpired:
            continue
    raise AssertionError("the server does not answer")
