"""Imports go down only: core ← timber ← stages | outputs, never sideways."""

from __future__ import annotations

import ast
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
HOMES = {
    "boardwright": ROOT / "pipeline" / "boardwright",
    "boardwright_timber": ROOT / "plugins" / "boardwright_timber",
    "boardwright_stages": ROOT / "plugins" / "boardwright_stages",
    "boardwright_outputs": ROOT / "plugins" / "boardwright_outputs",
}
MAY_IMPORT = {
    "boardwright": set(),
    "boardwright_timber": {"boardwright"},
    "boardwright_stages": {"boardwright", "boardwright_timber"},
    "boardwright_outputs": {"boardwright", "boardwright_timber"},
}
# Third-party libraries by package; anything not listed is refused, so a new one is a decision.
THIRD_PARTY = {
    "boardwright": {"ezdxf", "msgspec", "packaging", "pluggy", "rich", "shapely"},
    "boardwright_timber": {"msgspec"},
    "boardwright_stages": {"highspy", "msgspec", "networkx", "numpy", "packingsolver", "shapely"},
    "boardwright_outputs": {"ezdxf", "jinja2", "markupsafe", "msgspec", "openpyxl", "reportlab"},
}

# The kit for plugin authors offers a pytest fixture; nothing else of ours knows pytest.
ONE_FILE_ONLY = {
    "pipeline/boardwright/testing/fixtures.py": {"pytest"},
    "pipeline/boardwright/plan/device_sheet.py": {"openpyxl"},  # a device list in XLSX
}

ONE_FILE_ONLY["pipeline/boardwright/many/cluster.py"] = {"distributed"}  # an extra, for --cluster alone

# Proving a pack needs geometry, and nothing of what wrote the pack.
VERIFY = HOMES["boardwright_outputs"] / "verify"
ONE_FILE_ONLY |= {p.relative_to(ROOT).as_posix(): {"shapely"} for p in VERIFY.glob("*.py")}


def sources() -> list[Path]:
    return [p for home in HOMES.values() for p in sorted(home.rglob("*.py"))]


@cache
def told(path: Path) -> tuple[frozenset[str], str | None]:
    """Top-level names of absolute imports in a file, and what it says of itself. Each file is parsed once."""
    names: set[str] = set()
    module = ast.parse(path.read_text())
    for node in ast.walk(module):
        if isinstance(node, ast.Import):
            names.update(a.name.partition(".")[0] for a in node.names)
        elif isinstance(node, ast.ImportFrom) and not node.level and node.module:
            names.add(node.module.partition(".")[0])
    return frozenset(names), ast.get_docstring(module)


def imported(path: Path) -> frozenset[str]:
    return told(path)[0]


@pytest.mark.parametrize("package", sorted(HOMES))
def test_imports_go_down_only(package: str) -> None:
    for path in sorted(HOMES[package].rglob("*.py")):
        ours = imported(path) & set(HOMES) - {package}
        assert ours <= MAY_IMPORT[package], f"{path.relative_to(ROOT)} imports {ours - MAY_IMPORT[package]}"


@pytest.mark.parametrize("package", sorted(HOMES))
def test_third_party_libraries_are_the_agreed_ones(package: str) -> None:
    import sys

    for path in sorted(HOMES[package].rglob("*.py")):
        others = imported(path) - set(HOMES) - set(sys.stdlib_module_names)
        others -= ONE_FILE_ONLY.get(path.relative_to(ROOT).as_posix(), set())
        assert others <= THIRD_PARTY[package], f"{path.relative_to(ROOT)}: {others - THIRD_PARTY[package]}"


def test_files_stay_small() -> None:
    """A file past 400 lines is split by idea."""
    long = {p.name: n for p in sources() if (n := len(p.read_text().splitlines())) > 400}
    assert long == {}


def test_every_module_opens_with_what_it_is() -> None:
    silent = [str(p.relative_to(ROOT)) for p in sources() if p.read_text().strip() and told(p)[1] is None]
    assert silent == []


def test_the_verifier_knows_nothing_of_what_wrote_the_pack() -> None:
    """It reads the files with its own records, geometry and sums; only the rule for file names is shared."""
    for path in sorted(VERIFY.glob("*.py")):
        assert imported(path) & set(HOMES) <= {"boardwright"}
        for node in ast.walk(ast.parse(path.read_text())):
            if isinstance(node, ast.ImportFrom) and node.level > 1:
                assert (node.module, [a.name for a in node.names]) == ("drawings", ["names"])
            if isinstance(node, ast.ImportFrom) and node.module and node.module.startswith("boardwright"):
                assert node.module == "boardwright"
