"""A club's packages, from their own wheels, beside Boardwright's in an environment that holds nothing else.

The example club of ``plugins/example-club`` and what ``boardwright plugins --scaffold`` writes, by the
commands of docs/plugin-tutorial.md.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
import sysconfig
import tempfile
from pathlib import Path

import pytest
from shelf import drawing

from boardwright.disk import on_disk

ROOT = Path(__file__).parents[2]
TUTORIAL = (ROOT / "docs" / "plugin-tutorial.md").read_text()
LONG = 1000.0  # of the board: its joists stand further apart than a club likes
CLUB_PAGE = (ROOT / "plugins" / "example-club" / "README.md").read_text()


class Fresh:
    """An environment of its own. The libraries come from the one the tests run in; what is ours does not."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        run(sys.executable, "-m", "venv", "--without-pip", folder)
        self.bin = folder / ("Scripts" if os.name == "nt" else "bin")
        (site,) = folder.rglob("site-packages")
        (site / "libraries.pth").write_text(sysconfig.get_path("purelib") + "\n")
        self.install(ROOT)

    def install(self, *sources: Path) -> None:
        """Build wheels of source folders and install them: no network, nothing but what is named."""
        wheels = self.folder / "wheels"
        for source in sources:
            copy = Path(tempfile.mkdtemp(dir=self.folder)) / source.name
            ignored = shutil.ignore_patterns(".*", "demo-pack", "tests", "docs", "__pycache__", "pack")
            shutil.copytree(source, copy, ignore=ignored)
            run(*pip("wheel", "--no-deps", "--no-build-isolation", "--no-index", "-w", wheels, copy))
        options = ("--no-deps", "--no-index", "--force-reinstall")
        run(*pip("--python", self.bin / "python", "install", *options, *sorted(wheels.glob("*.whl"))))
        shutil.rmtree(wheels)

    def boardwright(self, *words: str | Path, cwd: Path) -> subprocess.CompletedProcess[str]:
        return subprocess.run([self.bin / "boardwright", *words], cwd=cwd, capture_output=True, text=True)


def pip(*words: str | Path) -> tuple[str | Path, ...]:
    return (sys.executable, "-m", "pip", "-q", "--disable-pip-version-check", *words)


def run(*words: str | Path, cwd: Path | None = None) -> None:
    done = subprocess.run([str(w) for w in words], cwd=cwd, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr


@pytest.fixture(scope="module")
def fresh(tmp_path_factory: pytest.TempPathFactory) -> Fresh:
    return Fresh(tmp_path_factory.mktemp("fresh") / "env")


@pytest.fixture
def module(tmp_path: Path) -> Path:
    folder = tmp_path / "module"
    folder.mkdir()
    drawing(folder / "plan.dxf", LONG, ends=False)
    (folder / "layout.toml").write_text('[layout]\nname = "Shelf"\n[drawing]\nfile = "plan.dxf"\n')
    return folder


def test_the_example_club_takes_effect_and_goes_again(fresh: Fresh, module: Path) -> None:
    plain = (module / "layout.toml").read_text()
    assert fresh.boardwright("pack", cwd=module).returncode == 0
    before = on_disk(module / "pack")
    (board,) = json.loads((module / "pack" / "pack.json").read_text())["boards"]
    assert (board["frame"]["style"], board["frame"]["joist_spacing_mm"] > 300) == ("box", True)
    fresh.install(ROOT / "plugins" / "example-club")
    the_clubs_own_tests(fresh)
    assert "taking no part" in fresh.boardwright("plugins", cwd=module).stdout
    assert " 0 computed" in fresh.boardwright("pack", cwd=module).stdout  # installed, not named: nothing new

    (settings,) = re.findall(r"```toml\n(.+?)```", CLUB_PAGE, flags=re.DOTALL)
    (module / "layout.toml").write_text(plain + "\n" + settings)
    done = fresh.boardwright("pack", cwd=module)
    assert done.returncode == 0, done.stderr
    assert "CLUB-001" in done.stderr  # one board alone
    data = json.loads((module / "pack" / "pack.json").read_text())
    (board,) = data["boards"]
    assert board["frame"]["style"] == "ladder"
    assert (module / "pack" / "club" / "crates.csv").read_text().count("\n") == 2
    ran = fresh.boardwright("why", "frame@B01", "--last", cwd=module).stdout
    assert "frame of B01 made again" in ran
    ran = fresh.boardwright("why", "--last", cwd=module).stdout
    again = re.sub(r"\s+", " ", ran.partition("Made again")[2])
    assert "board B01: frame, joists" in again
    assert not re.search(r"\b(split|boards|board plan)\b", again)

    box = settings.replace('style = "ladder"', "# boxes")
    (module / "layout.toml").write_text(plain + "\n" + box)
    assert fresh.boardwright("pack", cwd=module).returncode == 0
    (board,) = json.loads((module / "pack" / "pack.json").read_text())["boards"]
    assert board["frame"]["style"] == "box"
    assert board["frame"]["joist_spacing_mm"] <= 300

    (module / "layout.toml").write_text(plain)
    assert " 0 computed" in fresh.boardwright("pack", cwd=module).stdout
    assert on_disk(module / "pack") == before
    run(*pip("--python", fresh.bin / "python", "uninstall", "-y", "boardwright-example-club"))
    assert " 0 computed" in fresh.boardwright("pack", cwd=module).stdout
    assert on_disk(module / "pack") == before


def test_the_tutorial_from_nothing_to_a_rule_of_ones_own(fresh: Fresh, tmp_path: Path) -> None:
    """Follow the page: every command is run, every file written, in its order."""
    drawing(tmp_path / "plan.dxf", LONG, ends=False)
    layout, packed = tmp_path / "my-module" / "layout.toml", tmp_path / "my-module" / "pack"
    labels = packed / "labels" / "B01.txt"
    done: list[str] = []
    plain, before = "", {}
    for kind, text in re.findall(r"```(\w+)\n(.+?)```", TUTORIAL, flags=re.DOTALL):
        if kind == "python":
            layout.with_name("house.py").write_text(text)
            plain, before = layout.read_text(), on_disk(packed)
            boards = json.loads((packed / "pack.json").read_text())["boards"]
            assert any(b["frame"]["joist_spacing_mm"] > 300 for b in boards)
        elif kind == "toml":
            layout.write_text(plain + "\n" + text)
        else:
            for line in text.splitlines():
                done.append(follow(fresh, line, tmp_path))
        if kind == "sh" and "plugins my-module" in text:
            assert labels.read_text().startswith("Harbour Wood Model Club: B01-")
            data = json.loads((packed / "pack.json").read_text())
            assert all(b["frame"]["joist_spacing_mm"] <= 300 for b in data["boards"])
            assert re.search(r"house\.py.*\n.*stage +joists +each board +→ Joists", done[-1])
            layout.write_text(plain)
            assert " 0 computed" in follow(fresh, "boardwright pack my-module", tmp_path)
            assert on_disk(packed) == before
    assert labels.read_text().startswith("Our club: B01-")  # by the package now
    assert len(done) == 8
    code = (tmp_path / "harbour-wood" / "harbour_wood" / "plugin.py").read_text()
    assert f"```python\n{code}```" in TUTORIAL  # the page explains what is written
    again = fresh.boardwright("plugins", "--scaffold", "harbour-wood", cwd=tmp_path)
    assert again.returncode == 2
    assert "exists already" in again.stderr


def follow(fresh: Fresh, line: str, folder: Path) -> str:
    """Do what a line of the page says. ``pip install`` is done without the network."""
    program, *words = line.split()
    if program == "boardwright":
        done = fresh.boardwright(*words, cwd=folder)
        assert done.returncode == 0, done.stderr
        return done.stdout
    if program == "pip":
        assert words[0] == "install"
        fresh.install(folder / words[1])
    else:
        assert (program, *words[:2]) == ("python", "-m", "pytest")
        run(fresh.bin / "python", *words, "-q", "-p", "no:cacheprovider", cwd=folder)
    return ""


def the_clubs_own_tests(fresh: Fresh) -> None:
    """With nothing but what is installed: the club's wheel, Boardwright's, and libraries."""
    tests = ROOT / "plugins" / "example-club" / "tests"
    settings = ("-q", "-p", "no:cacheprovider", "--import-mode=importlib", "-c", os.devnull)
    run(fresh.bin / "python", "-m", "pytest", *settings, tests, cwd=fresh.folder)


def test_the_ladder_of_the_page_is_the_clubs() -> None:
    page = (ROOT / "docs" / "framing-styles.md").read_text()
    ladder = (ROOT / "plugins" / "example-club" / "example_club" / "ladder.py").read_text()
    (shown,) = re.findall(r"```python\n(.+?)```", page, flags=re.DOTALL)
    shown, _, _ = shown.partition("\n\n@hookimpl")
    assert (
        shown.replace("Section, hookimpl, stage", "Section, stage") == ladder
    )  # one rule, shown on the page
