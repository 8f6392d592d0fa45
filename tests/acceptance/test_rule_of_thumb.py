"""Cost against a rule of thumb (common practice, no source): fixed ply boards, all materials in, come to
about 27 a square metre with 18 mm sheets for the frames at 40 and 9 mm sheets for the decks at 30.

The rule is read as counting a sheet by the share that is used (what is left serves the next board), and as
plain boards: wood, screws and glue, without the dowels, plugs and wires of boards that travel. Measured:
28.08 on this layout. A third either way is allowed.
"""

from __future__ import annotations

import json
import shutil
from decimal import Decimal
from pathlib import Path
from typing import Any

from packs import FIXTURES
from running import here

STOCK = """
[[stock.sheets]]
name = "frames"
material = "birch ply"
thickness_mm = 18
price = 40
[[stock.sheets]]
name = "decks"
material = "birch ply"
thickness_mm = 9
price = 30
"""


def told(folder: Path, stage: str) -> Any:
    done = here("stage", stage, cwd=folder)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def test_a_square_metre_of_fixed_boards_comes_to_about_27(tmp_path: Path) -> None:
    for name in ("plan.dxf", "devices.csv", "layout.toml"):
        shutil.copy(FIXTURES / "branch-terminus" / name, tmp_path / name)
    project = (tmp_path / "layout.toml").read_text()
    assert "[framing]" not in project
    assert "[stock]" not in project
    (tmp_path / "layout.toml").write_text(project + "\n[framing]\nmember_thickness_mm = 18\n" + STOCK)
    cutting, cost = (told(tmp_path, stage) for stage in ("cutting", "cost"))
    price = {"frames": Decimal(40), "decks": Decimal(30)}
    wood = sum(price[s["stock"]] * s["times"] * Decimal(str(s["used_fraction"])) for s in cutting["sheets"])
    fixing = sum(
        Decimal(x["total"])
        for x in cost["lines"]
        if x["item"].startswith("screw-") or x["item"] == "wood-glue"
    )
    assert fixing > 0
    each = (wood + fixing) / Decimal(cost["area_m2"])
    assert Decimal(18) < each < Decimal(36), each
