"""`boardwright pack --watch`: a save makes the pack again, a bad save leaves it, the page follows."""

from __future__ import annotations

import os
import re
import shutil
import signal
import subprocess
import sys
import time
import urllib.request
from collections.abc import Callable
from pathlib import Path

from packs import FIXTURES
from running import command

from boardwright.cli.watch import QUIET_S, QUIET_SMALL_S, Loaded, Stamps, look, quiet_s

PATIENCE_S = 120
OURS = """
from boardwright import All, Files, hookimpl, output
from boardwright_timber.model import BoardParts

@output()
def spare(parts: All[BoardParts]) -> Files:
    return Files(files={"spare.json": b'{"spare": 1}'})

@hookimpl
def boardwright_outputs():
    return [spare]
"""


def wait_for(what: Callable[[], bool]) -> None:
    end = time.monotonic() + PATIENCE_S
    while not what():
        assert time.monotonic() < end, "it never came"
        time.sleep(0.1)


def hear_ctrl_c() -> None:
    """As in a terminal. What a shell runs beside it (``&``) hears no Ctrl-C, nor does what that starts."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


def test_saves_are_followed(tmp_path: Path) -> None:
    for name in ("plan.dxf", "devices.csv", "layout.toml"):
        shutil.copy(FIXTURES / "exhibition-module" / name, tmp_path / name)
    layout, ours = tmp_path / "layout.toml", tmp_path / "ours.py"
    good = layout.read_text() + '\n[stages]\nlocal = "ours.py"\n'
    layout.write_text(good)
    ours.write_text(OURS)
    said = tmp_path / "said.txt"
    with said.open("wb") as log:
        words = [sys.executable, "-m", "boardwright", "pack", "--watch"]
        watching = subprocess.Popen(
            words, cwd=tmp_path, stdout=log, stderr=subprocess.STDOUT, preexec_fn=hear_ctrl_c
        )
    try:
        wait_for(lambda: "Pack written" in said.read_text())
        found = re.search(r"http://127\.0\.0\.1:\d+/", said.read_text())
        assert found

        def get(path: str) -> str:
            with urllib.request.urlopen(found[0] + path) as answer:
                text: str = answer.read().decode()
                return text

        stamp, page = get("newest"), get("")
        assert "location.reload()" in page
        assert (
            "location.reload()" not in (tmp_path / "pack" / "index.html").read_text()
        )  # the file is as made
        assert get("pack.json") == (tmp_path / "pack" / "pack.json").read_text()

        layout.write_text(good + "\n[joists]\nspacing_mm = oops\n")
        wait_for(lambda: "older than these inputs" in " ".join(said.read_text().split()))
        assert get("newest") == stamp
        layout.write_text(good.replace("max_length_mm = 1300", "max_length_mm = 1000"))  # two boards now
        wait_for(lambda: get("newest") != stamp)
        wait_for(lambda: said.read_text().count("Pack written") == 2)
        wait_for(lambda: "since the pack before: B02 is new, B01 has" in " ".join(said.read_text().split()))
        assert '"spare": 1' in get("spare.json")
        ours.write_text(OURS.replace('"spare": 1', '"spare": 2'))  # code: never taken for what was loaded
        wait_for(lambda: said.read_text().count("Pack written") == 3)
        assert "starts anew" in said.read_text()
        wait_for(lambda: '"spare": 2' in get("spare.json"))  # at the same port
        watching.send_signal(signal.SIGINT)
        assert watching.wait(PATIENCE_S) == 0
        assert "No longer watching" in said.read_text()
    finally:
        if watching.poll() is None:
            watching.kill()
            watching.wait()
    assert "Nothing changed" in command("pack", cwd=tmp_path).stdout


def test_every_file_the_project_names_counts(tmp_path: Path) -> None:
    layout = tmp_path / "layout.toml"
    layout.write_text('[drawing]\nfile = "plan.dxf"\n[costing]\nprice_list = "merchant.csv"\n')
    names = {"layout.toml", "plan.dxf", "merchant.csv", "made.json"}
    assert {path.name for path in look(layout)} == names
    layout.write_text(layout.read_text() + '[house]\nrules = "not-there.toml"\n')  # which cannot be read yet
    assert {path.name for path in look(layout)} == {*names, "not-there.toml"}
    layout.write_text("[drawing")
    assert {path.name for path in look(layout)} == {"layout.toml", "made.json"}


def test_code_is_known_as_it_was_when_first_seen(tmp_path: Path) -> None:
    layout, ours = tmp_path / "layout.toml", tmp_path / "ours.py"
    layout.write_text("[stages")
    loaded = Loaded(layout)  # nothing can be read: workers begin without the local plugin
    assert not loaded.differs()
    layout.write_text('[stages]\nlocal = "ours.py"\n')
    ours.write_text("ONE = 1")
    assert loaded.differs()
    loaded = Loaded(layout)
    assert loaded.local == ours
    assert not loaded.differs()
    ours.write_text("ONE = 2")
    assert loaded.differs()


def test_a_port_that_is_taken_is_told(tmp_path: Path) -> None:
    import socket

    with socket.create_server(("127.0.0.1", 0)) as taken:
        done = command("pack", "--watch", "--port", str(taken.getsockname()[1]), cwd=tmp_path)
    assert done.returncode == 2
    assert "BW-WATCH-001" in done.stderr
    assert os.listdir(tmp_path) == []


def test_a_list_is_whole_sooner_than_a_drawing(tmp_path: Path) -> None:
    listed, drawing = tmp_path / "devices.csv", tmp_path / "plan.dxf"
    seen: Stamps = {listed: (1, 900), drawing: (1, 900_000)}
    assert quiet_s(seen, seen | {listed: (2, 901)}) == QUIET_SMALL_S
    for other in (
        {drawing: (2, 900_000)},
        {listed: None},
        {listed: (2, 0)},
        {tmp_path / "rules.toml": (2, 10)},
    ):
        assert quiet_s(seen, seen | other) == QUIET_S > QUIET_SMALL_S
