"""The ten lots of the studies, with their wishes, from `lots.toml`."""

import tomllib
from pathlib import Path

from optimizer.physics.wish_reader import read_wishes
from optimizer.site.read import read_site

HERE = Path(__file__).parent
ROOT = HERE.parents[1]


def lots() -> dict[str, dict]:
    """Key → what stands in the file, in its order."""
    return {lot["key"]: lot for lot in tomllib.loads((HERE / "lots.toml").read_text(encoding="utf-8"))["lot"]}


def problem(key: str):
    """(site, wishes) of a lot."""
    lot = dict(lots()[key])
    site = read_site(ROOT / lot.pop("site"))
    lot.pop("key")
    return site, read_wishes(lot.pop("bands"), site, **lot)
