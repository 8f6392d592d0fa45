"""`boardwright new` describes every fixture, and plans whose layers are named otherwise."""

from __future__ import annotations

import math
import re
import tomllib
from pathlib import Path
from typing import Any

import msgspec
import pytest

from boardwright.cli import main
from boardwright.plan import words
from boardwright.plan.report import inspect_plan
from boardwright.plan.settings import DeviceSettings, DrawingSettings
from boardwright.plan.source import SourceFile
from boardwright.plan.words import role_of

FIXTURES = Path(__file__).parents[3] / "fixtures"
ROLES = ("outline", "tracks", "turnouts", "devices", "joints")
NAMINGS = {
    "English": ("Baseboard edge", "Track centrelines", "Points", "Point motors", "Board joints"),
    "capitals and numbers": ("BB-01", "TRK_MAIN", "TURNOUTS_12", "DEV.SERVOS", "JT"),
    "German": ("Anlagenkante", "Gleise", "Weichen", "Weichenantriebe", "Trennfuge"),
    "French": ("Contour du plateau", "Voies", "Aiguillages", "Moteurs d'aiguilles", "Jonction"),
    "Dutch": ("Omtrek", "Sporen", "Wissels", "Wisselaandrijving", "Naad"),
    "Spanish": ("Borde del tablero", "Vías", "Desvíos", "Accionamientos", "Junta"),
    "Italian": ("Contorno", "Binari", "Scambi", "Motori scambi", "Giunto"),
    "Swedish": ("Kant", "Spår", "Växlar", "Motorer", "Skarv"),
    "a name that tells of the edge": ("Rim", "Tracks", "Turnouts", "Under the board", "Joints"),
    "nothing telling": ("A1", "A2", "A3", "A4", "A5"),
}


def plan_with(names: tuple[str, ...], factor: float = 1.0) -> Any:
    """A small layout with one thing of each role, a sheet's frame far outside and a room's walls."""

    def draw(doc: Any) -> None:
        msp, (edge, track, points, motors, joints) = doc.modelspace(), names

        def at(*places: tuple[float, float]) -> list[tuple[float, float]]:
            return [(x * factor, y * factor) for x, y in places]

        msp.add_lwpolyline(
            at((0, 0), (2400, 0), (2400, 600), (0, 600)), close=True, dxfattribs={"layer": edge}
        )
        for a, b in (((0, 300), (900, 300)), ((1100, 300), (2400, 300)), ((1100, 360), (2000, 360))):
            msp.add_lwpolyline(at(a, b), dxfattribs={"layer": track})
        msp.add_text("Sea front", height=20).dxf.layer = "Signs"
        msp.add_arc(at((2000, 0))[0], 360 * factor, 60, 90, dxfattribs={"layer": track})
        doc.blocks.new("LEFT").add_lwpolyline(at((0, -15), (200, -15), (200, 75), (0, 15)), close=True)
        doc.blocks.new("SERVO").add_circle((0, 0), 8 * factor)
        for x in (900, 1300):
            msp.add_blockref("LEFT", at((x, 300))[0], dxfattribs={"layer": points})
            msp.add_blockref("SERVO", at((x, 300))[0], dxfattribs={"layer": motors})
        msp.add_lwpolyline(at((1700, 0), (1700, 600)), dxfattribs={"layer": joints})
        for name, out in (("Frame", 900), ("Room walls", 400)):
            low, high_x, high_y = -out, 2400 + out, 600 + out
            corners = at((low, low), (high_x, low), (high_x, high_y), (low, high_y))
            msp.add_lwpolyline(corners, close=True, dxfattribs={"layer": name})

    return draw


def begun(folder: Path) -> tuple[dict[str, Any], Any]:
    """The written tables, and the drawing read as they say."""
    tables = tomllib.loads((folder / "layout.toml").read_text(encoding="utf-8"))
    name = tables["drawing"]["file"]
    settings = msgspec.convert(tables["drawing"], DrawingSettings)
    drawing = SourceFile(name, (folder / name).read_bytes())
    return tables, inspect_plan(drawing, None, settings, DeviceSettings())


@pytest.mark.parametrize("naming", NAMINGS)
def test_layers_named_in_many_ways(naming: str, to_bytes: Any, tmp_path: Path, capsys: Any) -> None:
    (tmp_path / "mine.dxf").write_bytes(to_bytes(plan_with(NAMINGS[naming])))
    assert main(["new", str(tmp_path / "it"), "--drawing", str(tmp_path / "mine.dxf")]) == 0
    tables, inspection = begun(tmp_path / "it")
    assert tables["drawing"]["layers"] == {
        role: [name] for role, name in zip(ROLES, NAMINGS[naming], strict=True)
    }
    assert inspection.usable
    plan = inspection.reading.plan
    assert (len(plan.turnouts), len(plan.devices), len(plan.drawn_joints)) == (2, 2, 1)
    said = capsys.readouterr().out
    guesses = {"nothing telling": 5, "a name that tells of the edge": 1}
    assert said.count("a guess (shape") == guesses.get(naming, 0)
    assert "'Frame' → not read" in said
    assert "'Signs' → not read: sure (it holds texts" in said
    assert "'Room walls' → not read" in said


@pytest.mark.parametrize(
    ("layer", "role"),
    [
        *(
            ("GATE", "lift_outs"),
            ("Flaps", "lift_outs"),
            ("lift", "lift_outs"),
            ("Lift-out boards", "lift_outs"),
        ),
        *(("Level crossing gates", None), ("Gate servo", "devices"), ("Flagged", None), ("Agate", None)),
    ],
)
def test_boards_that_lift_out_by_their_usual_names(layer: str, role: str | None) -> None:
    assert role_of(layer) == role


@pytest.mark.parametrize(
    "case", ["branch-terminus", "exhibition-module", "shed-three-walls", "real-terminus"]
)
def test_fixtures_are_guessed_as_their_project_files_say(case: str, tmp_path: Path) -> None:
    assert main(["new", str(tmp_path), "--drawing", str(FIXTURES / case / "plan.dxf")]) == 0
    tables, inspection = begun(tmp_path)
    wanted = tomllib.loads((FIXTURES / case / "layout.toml").read_text())["drawing"]
    data = (FIXTURES / case / "plan.dxf").read_bytes()
    settings = msgspec.convert({**wanted, "scale": "1:87"}, DrawingSettings)
    as_wanted = inspect_plan(SourceFile("plan.dxf", data), None, settings, DeviceSettings())
    assert inspection.reading.plan == as_wanted.reading.plan
    assert inspection.usable
    for role, layers in tables["drawing"]["layers"].items():
        assert wanted["layers"][role] == layers


@pytest.mark.parametrize(("unit", "factor"), [("m", 0.001), ("in", 1 / 25.4), ("cm", 0.1)])
def test_units_are_guessed_from_the_size(unit: str, factor: float, to_bytes: Any, tmp_path: Path) -> None:
    """The same plan in a drawing that declares nothing. Inches and centimetres: 94 or 240 across is both."""
    (tmp_path / "mine.dxf").write_bytes(to_bytes(plan_with(NAMINGS["English"], factor), 0))
    assert main(["new", str(tmp_path / "it"), "--drawing", str(tmp_path / "mine.dxf")]) == 0
    tables, inspection = begun(tmp_path / "it")
    assert "a guess from its size" in (tmp_path / "it" / "layout.toml").read_text(encoding="utf-8")
    width = inspection.reading.extent.width_mm
    if unit == "cm":
        assert tables["drawing"]["units"] == "in"  # 240 units are a layout in inches as well: it cannot know
        assert math.isclose(width, 240 * 25.4, rel_tol=1e-6)
    else:
        assert tables["drawing"]["units"] == unit
        assert math.isclose(width, 2400, rel_tol=1e-6)


def test_nothing_that_exists_is_written_over(tmp_path: Path, capsys: Any) -> None:
    plan = str(FIXTURES / "exhibition-module" / "plan.dxf")
    (tmp_path / "layout.toml").write_text("mine")
    assert main(["new", str(tmp_path), "--drawing", plan]) == 2
    assert (tmp_path / "layout.toml").read_text() == "mine"
    assert not (tmp_path / "plan.dxf").exists()
    (tmp_path / "layout.toml").unlink()
    (tmp_path / "plan.dxf").write_text("another drawing")
    assert main(["new", str(tmp_path), "--drawing", plan]) == 2
    assert (tmp_path / "plan.dxf").read_text() == "another drawing"
    assert capsys.readouterr().err.count("BW-PROJ-008") == 2


def test_without_an_edge_nothing_is_written(to_bytes: Any, tmp_path: Path, capsys: Any) -> None:
    (tmp_path / "mine.dxf").write_bytes(
        to_bytes(lambda doc: doc.modelspace().add_line((0, 0), (900, 0), dxfattribs={"layer": "Track"}))
    )
    assert main(["new", str(tmp_path / "it"), "--drawing", str(tmp_path / "mine.dxf")]) == 2
    assert "BW-PROJ-010" in capsys.readouterr().err
    assert not (tmp_path / "it").exists()


def test_strange_names_stay_names(to_bytes: Any, tmp_path: Path) -> None:
    names = ('edge "x" #', "track ' [", "points # é", "servo 木", "joint {}")
    kept = to_bytes(plan_with((names[0].replace('"', "Q"), *names[1:])))  # the writer would not take the mark
    (tmp_path / "mine.dxf").write_bytes(kept.replace(b"edge QxQ", b'edge "x"'))
    assert (
        main(["new", str(tmp_path / "it"), "--drawing", str(tmp_path / "mine.dxf"), "--name", 'a "b"\n']) == 0
    )
    tables, inspection = begun(tmp_path / "it")
    assert inspection.usable
    assert tables["layout"]["name"] == 'a "b"\n'
    assert [tables["drawing"]["layers"][r] for r in ROLES] == [[n] for n in names]


def test_short_words_count_only_alone() -> None:
    assert words.role_of("CL") == "tracks"
    assert words.role_of("Clouds") is None
    assert words.role_of("Gleisbett Rand") == "tracks"  # roles are asked in order
    assert words.role_of("Bord") == "outline"
    assert (
        words.role_of("bordeaux wine") == "outline"
    )  # a long word inside another: a price of many languages
    assert words.role_of("DIM-20") == ""
    assert [words.role_of(name) for name in ("Backscene", "MÖBEL & Zeug")] == ["", ""]


def layers_of(project: Path) -> dict[str, list[str]]:
    found: dict[str, list[str]] = tomllib.loads((project / "layout.toml").read_text())["drawing"]["layers"]
    return found


def test_circles_on_a_layer_named_for_motors_are_devices(to_bytes: Any, tmp_path: Path) -> None:
    def draw(doc: Any) -> None:
        msp = doc.modelspace()
        msp.add_lwpolyline(
            [(0, 0), (2400, 0), (2400, 600), (0, 600)], close=True, dxfattribs={"layer": "BENCHWORK"}
        )
        msp.add_line((20, 100), (2300, 100), dxfattribs={"layer": "MAINLINE"})
        msp.add_circle((500, 120), 10, dxfattribs={"layer": "MACHINES"})
        msp.add_text("SM1 switch machine", dxfattribs={"layer": "MACHINES", "insert": (505, 125)})

    (tmp_path / "plan.dxf").write_bytes(to_bytes(draw))
    assert main(["new", str(tmp_path / "new"), "--drawing", str(tmp_path / "plan.dxf")]) == 0
    assert layers_of(tmp_path / "new") == {
        "outline": ["BENCHWORK"],
        "tracks": ["MAINLINE"],
        "devices": ["MACHINES"],
    }


@pytest.mark.parametrize("around", ["Layer 1", "layer-2", "Group 3"])
def test_layers_inside_a_layer_nobody_named(around: str, tmp_path: Path) -> None:
    (tmp_path / "plan.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:n="urn:n" width="2400mm" height="600mm" '
        'viewBox="0 0 2400 600">'
        f'<g n:label="{around}"><g n:label="Board edge"><g><path d="M0 0H2400V600H0Z"/></g></g>'
        '<g n:label="Tracks"><path d="M20 100H2300"/></g></g></svg>'
    )
    assert main(["new", str(tmp_path / "new"), "--drawing", str(tmp_path / "plan.svg")]) == 0
    assert layers_of(tmp_path / "new") == {"outline": ["Board edge"], "tracks": ["Tracks"]}


@pytest.mark.parametrize(
    ("size", "at"), [(("400mm", "80mm"), "1:10"), (("120mm", "24mm"), "1:10"), (("45mm", "9mm"), "1:20")]
)
def test_a_sheet_of_paper_holds_a_plan_to_scale(size: tuple[str, str], at: str, tmp_path: Path) -> None:
    (tmp_path / "plan.svg").write_text(
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{size[0]}" height="{size[1]}" viewBox="0 0 400 80">'
        '<g id="edge"><path d="M0 0H400V80H0Z"/></g><g id="track"><path d="M5 40H395"/></g></svg>'
    )
    assert main(["new", str(tmp_path / "new"), "--drawing", str(tmp_path / "plan.svg")]) == 0
    drawing = tomllib.loads((tmp_path / "new" / "layout.toml").read_text())["drawing"]
    assert (drawing["units"], drawing["drawn_at"]) == ("auto", at)


def test_levels_are_offered_where_two_layers_hold_an_edge(to_bytes: Any, tmp_path: Path, capsys: Any) -> None:
    def draw(doc: Any) -> None:
        for layer, right in (("Plattenkante", 2400), ("Oben Plattenkante", 900)):
            corners = [(0, 0), (right, 0), (right, right / 4), (0, right / 4)]
            doc.modelspace().add_lwpolyline(corners, close=True, dxfattribs={"layer": layer})
        doc.modelspace().add_line((20, 100), (2300, 100), dxfattribs={"layer": "Gleise"})

    (tmp_path / "mine.dxf").write_bytes(to_bytes(draw))
    main(["new", str(tmp_path / "it"), "--drawing", str(tmp_path / "mine.dxf")])
    text = (tmp_path / "it" / "layout.toml").read_text(encoding="utf-8")
    offered = re.sub(r"^# (?=\[\[drawing|layers|height_mm)", "", text, flags=re.MULTILINE)
    assert tomllib.loads(offered)["drawing"]["levels"] == [
        {"layers": [layer], "height_mm": 0} for layer in ("Oben Plattenkante", "Plattenkante")
    ]
    assert "levels" not in tomllib.loads(text)["drawing"]
    said = "More than one layer holds an edge ('Oben Plattenkante', 'Plattenkante')."
    assert said in capsys.readouterr().out
    main(["inspect", str(tmp_path / "mine.dxf")])
    assert said in capsys.readouterr().err


@pytest.mark.parametrize("naming", ["German", "nothing telling", "a joint's layer with a name of its own"])
def test_inspect_reads_a_bare_drawing_as_new_would(
    naming: str, to_bytes: Any, tmp_path: Path, capsys: Any
) -> None:
    names = NAMINGS.get(naming) or ("Edge", "Rails", "Points", "Motors", "Ends")
    (tmp_path / "mine.dxf").write_bytes(to_bytes(plan_with(names)))
    assert main(["inspect", str(tmp_path / "mine.dxf")]) == 0
    bare, told = capsys.readouterr()
    assert "as `boardwright new` would guess" in told
    main(["new", str(tmp_path / "it"), "--drawing", str(tmp_path / "mine.dxf")])
    capsys.readouterr()
    assert main(["inspect", str(tmp_path / "it")]) == 0
    begun_, told = capsys.readouterr()
    assert bare == begun_
    assert told == ""


def test_inspect_of_a_drawing_without_an_edge_says_what_is_wrong_with_it(
    to_bytes: Any, tmp_path: Path, capsys: Any
) -> None:
    line = {"layer": "Track"}
    drawn = to_bytes(lambda doc: doc.modelspace().add_line((0, 0), (900, 0), dxfattribs=line))
    (tmp_path / "mine.dxf").write_bytes(drawn)
    assert main(["inspect", str(tmp_path / "mine.dxf")]) == 2
    said, told = capsys.readouterr()
    assert "BW-READ-008" in said
    assert told == ""
