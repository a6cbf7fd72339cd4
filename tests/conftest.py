"""Shared by tests of several parts: a PostgreSQL server of our own."""

import os
import shutil
import subprocess
import tempfile
from pathlib import Path

import pytest

PROGRAMS = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))


@pytest.fixture(scope="session")
def postgres_url():
    """URL of a fresh database, reached by a socket in a folder of its own. Debian's package, run as an unprivileged user, ended afterwards."""
    pytest.importorskip("psycopg", reason="no driver for PostgreSQL: pip install 'psycopg[binary]'")
    if not PROGRAMS:
        pytest.skip("PostgreSQL is not installed: apt-get install postgresql")
    programs, folder = PROGRAMS[-1].parent, Path(tempfile.mkdtemp(prefix="lotwire-pg-"))
    as_user = {"user": "postgres"} if os.getuid() == 0 else {}
    if as_user:
        shutil.chown(folder, "postgres")

    def run(*command):
        subprocess.run([programs / command[0], *command[1:]], check=True, cwd=folder, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, **as_user)

    run("initdb", "-A", "trust", "-U", "lotwire", "-D", folder / "data")
    run("pg_ctl", "-D", folder / "data", "-w", "-o", f"-k {folder} -c listen_addresses=''", "-l", folder / "log", "start")
    try:
        yield f"postgresql+psycopg://lotwire@/postgres?host={folder}"
    finally:
        run("pg_ctl", "-D", folder / "data", "-m", "immediate", "stop")
        shutil.rmtree(folder)
