"""Compiling ahead: what counts as done, and that it compiles what a search on another lot asks for first."""

import os

from optimizer.service.desk import Desk
from optimizer.service.warm import COMPILED, compile_all, compiled, warm_up


def test_done_is_a_cache_beside_every_source_no_older_than_it(tmp_path):
    for part in COMPILED:
        (tmp_path / part / "__pycache__").mkdir(parents=True)
        source, cache = tmp_path / part / "kernels.py", tmp_path / part / "__pycache__" / "kernels.f-1.py311.nbi"
        source.touch()
        assert not compiled(tmp_path)
        cache.touch()
        os.utime(source, (100, 100))
        os.utime(cache, (200, 200))
    assert compiled(tmp_path)
    os.utime(source, (300, 300))
    assert not compiled(tmp_path)


def test_the_made_up_lot_is_placed_on_and_measured():
    compile_all()


def test_a_desk_that_closes_ends_it_quietly(monkeypatch):
    monkeypatch.setattr("optimizer.service.warm.compiled", lambda: False)
    desk = Desk(processes=1)
    desk.close()
    warm_up(desk)
    assert desk.hands is None
