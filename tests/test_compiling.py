"""The first run after installing compiles everything at once; nothing is left for later."""

import os
import subprocess
import sys

RANK = """
import sys
from numba.core import event

class Ear(event.Listener):
    found = []
    def on_start(self, event): self.found.append(event.data["dispatcher"].__name__)
    def on_end(self, event): pass

event.register("numba:compile", Ear())
from optimizer import cli
sys.argv = ["lotwire", "rank", "sites/l_shape.geojson", "--bands", "40m", "--trials", "4", "--workers", "1", "--out", sys.argv[1]]
try:
    cli.main()
except SystemExit as status:
    assert not status.code, status.code
print("compiled:", Ear.found)
"""


def test_a_run_after_the_first_compiles_nothing(tmp_path):
    """Both caches begin empty: the command compiles in processes of its own and then finds all it needs on disk."""
    there = os.environ | {"NUMBA_CACHE_DIR": str(tmp_path / "numba"), "LOTWIRE_CACHE": str(tmp_path / "kept")}
    run = subprocess.run([sys.executable, "-c", RANK, str(tmp_path / "out")], env=there, capture_output=True, text=True, check=True)
    assert "compiling, once after installing" in run.stderr
    assert run.stdout.splitlines()[-1] == "compiled: []"
    again = subprocess.run([sys.executable, "-c", RANK, str(tmp_path / "again")], env=there, capture_output=True, text=True, check=True)
    assert "compiling" not in again.stderr
