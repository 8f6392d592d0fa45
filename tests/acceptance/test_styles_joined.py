"""Every style of docs/framing-styles.md, and the page's own, on boards that are bolted together: a whole pack
without a fault, and bolts at every joint."""

from __future__ import annotations

import re
from pathlib import Path

import ezdxf
import pytest
from packs import Pack
from running import command, here

PAGE = (Path(__file__).parents[2] / "docs" / "framing-styles.md").read_text()
TABLE = re.findall(r"^\| `([a-z-]+)` \|", PAGE, flags=re.MULTILINE)
LONG, WIDE = 3300.0, 450.0
LAYOUT = """
[layout]
name = "Three boards in a row"
[drawing]
file = "plan.dxf"
[drawing.layers]
outline = ["Board edge"]
tracks = ["Track"]
[devices]
file = "devices.csv"
"""


def drawn(folder: Path) -> None:
    """A straight shelf with two lines along it, one of them slanting, and a point motor on every board."""
    doc = ezdxf.new("R2010", units=4)
    space = doc.modelspace()
    corners = [(0, 0), (LONG, 0), (LONG, WIDE), (0, WIDE)]
    space.add_lwpolyline(corners, close=True, dxfattribs={"layer": "Board edge"})
    space.add_line((0, 200), (LONG, 200), dxfattribs={"layer": "Track"})
    space.add_line((0, 260), (LONG, 330), dxfattribs={"layer": "Track"})
    doc.saveas(folder / "plan.dxf")
    rows = "".join(f"PM0{n},point_motor,{x},230,0,60,30,50,10,\n" for n, x in enumerate((500, 1650, 2750)))
    (folder / "devices.csv").write_text(
        f"id,kind,x_mm,y_mm,angle_deg,length_mm,width_mm,depth_mm,clearance_mm,note\n{rows}"
        "P01,panel,1500,60,0,120,60,60,10,\n"
    )


def test_the_table_names_what_is_tested() -> None:
    assert TABLE == ["box", "l-girder", "l-girder-open", "open-top"]


@pytest.mark.parametrize("style", [*TABLE, "ladder"])
def test_boards_of_a_style_are_bolted_together(style: str, tmp_path: Path) -> None:
    drawn(tmp_path)
    own, run = f'[framing]\nstyle = "{style}"\n', here
    if style == "ladder":
        (code,) = re.findall(r"```python\n(.+?)```", PAGE, flags=re.DOTALL)
        (own,) = re.findall(r"```toml\n(.+?)```", PAGE, flags=re.DOTALL)
        (tmp_path / "ladder.py").write_text(code)
        run = command  # code of a folder is loaded in a process of its own
    (tmp_path / "layout.toml").write_text(LAYOUT + own)
    done = run("pack", cwd=tmp_path)
    assert done.returncode == 0, done.stdout + done.stderr
    pack = Pack(tmp_path / "pack")
    assert [b["frame"]["style"] for b in pack.data["boards"]] == [style] * 3
    assert len(pack.data["joints"]) == 2
    for joint in pack.data["joints"]:
        bolted = [f for f in pack.data["fixings"] if f["joint"] == joint["id"]]
        assert {f["kind"] for f in bolted} == {"bolt", "dowel"}
    assert {m["thickness_mm"] for b in pack.data["boards"] for m in b["frame"]["members"]} <= {12.0, 44.0}
    assert all(line["passed"] for line in pack.data["checks"]["lines"])
    assert not pack.data["cutting"]["unplaced"]


def test_what_is_seldom_chosen_is_proved_as_well(tmp_path: Path) -> None:
    """Tee nuts, whose holes are opened for a barrel; parts that may lie across the grain; a narrow deck whose
    edge is the layout's own arc, cut as an arc: all this verify once took for wrong."""
    doc = ezdxf.new("R2010", units=4)
    space = doc.modelspace()
    front = (0, 0, -0.08)  # bows in by 0.08 x 1000 / 2 = 40 mm
    space.add_lwpolyline(
        [front, (1000, 0, 0), (2000, 0, 0), (2000, 400, 0), (0, 400, 0)],
        format="xyb",
        close=True,
        dxfattribs={"layer": "Board edge"},
    )
    space.add_line((0, 60), (2000, 60), dxfattribs={"layer": "Track"})
    space.add_line((0, 330), (2000, 330), dxfattribs={"layer": "Track"})
    doc.saveas(tmp_path / "plan.dxf")
    (tmp_path / "layout.toml").write_text(
        LAYOUT.replace('[devices]\nfile = "devices.csv"\n', "")
        + '[framing]\nstyle = "open-top"\n[joints]\nfastener = "hex bolt"\nnut = "tee nut"\n'
        + '[cutting]\ngrain = false\n[templates]\nprint = "nothing"\n'
    )
    done = here("pack", cwd=tmp_path)
    assert done.returncode == 0, done.stdout + done.stderr
    pack = Pack(tmp_path / "pack")
    assert [h for p in pack.parts.values() for h in p["holes"] if h["opened_mm"]]
    assert [p for p in pack.parts.values() if p["role"] == "deck" and p["circles"]]
    placed = [q for s in pack.data["cutting"]["sheets"] for q in s["parts"]]
    across = {"length": True, "width": False}
    assert [q for q in placed if across.get(pack.parts[q["part"]]["grain"]) is q["turned"]]
    proof = here("verify", tmp_path / "pack", cwd=tmp_path)
    assert proof.returncode == 0, proof.stdout + proof.stderr


def test_a_round_well_is_proved_as_well(tmp_path: Path) -> None:
    """A circle is a contour of two corners in the drawing: it is an opening all the same."""
    doc = ezdxf.new("R2010", units=4)
    space = doc.modelspace()
    corners = [(0, 0), (700, 0), (700, 400), (0, 400)]
    space.add_lwpolyline(corners, close=True, dxfattribs={"layer": "Board edge"})
    space.add_circle((450, 220), 70, dxfattribs={"layer": "Board edge"})
    space.add_line((0, 80), (700, 80), dxfattribs={"layer": "Track"})
    doc.saveas(tmp_path / "plan.dxf")
    own = LAYOUT.replace('[devices]\nfile = "devices.csv"\n', "") + '[templates]\nprint = "nothing"\n'
    (tmp_path / "layout.toml").write_text(own)
    done = here("pack", cwd=tmp_path)
    assert done.returncode == 0, done.stdout + done.stderr
    deck = Pack(tmp_path / "pack").parts["B01-D"]
    assert len(deck["openings"]) == 1
    proof = here("verify", tmp_path / "pack", cwd=tmp_path)
    assert proof.returncode == 0, proof.stdout + proof.stderr
