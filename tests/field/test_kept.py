"""Arrays kept on disk: the same as made, made again when damaged, and no trouble where nothing can be written."""

import numpy as np
import pytest

from optimizer.field import kept


def made(calls):
    def make():
        calls.append(1)
        return np.arange(3.0), np.array([1.0 + 2.0j, -np.inf])

    return make


@pytest.fixture()
def folder(tmp_path, monkeypatch):
    monkeypatch.setenv(kept.FOLDER, str(tmp_path / "cache"))
    return tmp_path / "cache"


def same(a, b):
    return all(np.array_equal(x, y) for x, y in zip(a, b, strict=True))


def test_made_once_and_read_the_second_time(folder):
    calls = []
    first, second = (kept.kept("a", __file__, made(calls)) for _ in range(2))
    assert len(calls) == 1 and same(first, second) and len(list(folder.iterdir())) == 1


def test_another_source_is_another_file(folder):
    calls = []
    kept.kept("a", __file__, made(calls))
    kept.kept("a", kept.__file__, made(calls))
    assert len(calls) == 2


@pytest.mark.parametrize("damage", [b"", b"not an array", None])
def test_a_damaged_file_is_made_again(folder, damage):
    calls = []
    first = kept.kept("a", __file__, made(calls))
    (path,) = folder.iterdir()
    path.write_bytes(path.read_bytes()[:-40] if damage is None else damage)
    assert same(kept.kept("a", __file__, made(calls)), first) and len(calls) == 2
    assert same(kept.kept("a", __file__, made(calls)), first) and len(calls) == 2


def test_where_nothing_can_be_written_nothing_is_kept(tmp_path, monkeypatch):
    (tmp_path / "file").write_text("")
    calls = []
    for place in (str(tmp_path / "file" / "below"), ""):
        monkeypatch.setenv(kept.FOLDER, place)
        kept.kept("a", __file__, made(calls))
        kept.kept("a", __file__, made(calls))
    assert len(calls) == 4
