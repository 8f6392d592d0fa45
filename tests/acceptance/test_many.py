"""Many at once: a batch goes on past a bad project and where it was; a study is as good as clean runs."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import sys
import zipfile
from collections import Counter
from pathlib import Path

import msgspec
import pytest
from running import command, here
from shelf import project

from boardwright.cli import main
from boardwright.disk import on_disk, pack_folder
from boardwright.many.batch import batch
from boardwright.many.cluster import by_executor, pack_elsewhere, parcel
from boardwright.many.one import Done
from boardwright.many.projects import as_they_stand
from boardwright.many.series import read_series
from boardwright.many.study import study, walk
from boardwright.many.varying import read_option

MADE = shutil.ignore_patterns("pack", ".boardwright")
SIZES = {"one": 900, "two": 700}
COPIES = {"one": 1, "two": 3}


def clean(file: Path, folder: Path) -> Path:
    """A copy of a project without its pack and what is stored."""
    shutil.copytree(file.parent, folder / file.parent.name, ignore=MADE)
    return folder / file.parent.name / file.name


@pytest.fixture(scope="module")
def club(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Two projects and a bad one, packed together by two processes, bought together."""
    folder = tmp_path_factory.mktemp("club")
    files = {
        name: project(folder / name, length, f"[series]\ncopies = {COPIES[name]}\n")
        for name, length in SIZES.items()
    }
    (folder / "bad").mkdir()
    (folder / "bad" / "layout.toml").write_text("[drawing]\nfile = 'gone.dxf'\n")
    done = command("batch", ".", "-o", "sum", "--buy-together", "--jobs", "2", cwd=folder)
    assert done.returncode == 2, done.stderr + done.stdout
    assert "2 of 3 projects have their pack, 1 has none." in done.stdout
    assert "BW-PROJ-007" in done.stderr
    return {**files, "bad": folder / "bad" / "layout.toml"}


def test_each_pack_is_what_pack_would_have_written(club: dict[str, Path], tmp_path: Path) -> None:
    assert main(["pack", str(clean(club["two"], tmp_path)), "--jobs", "1"]) == 0
    assert on_disk(tmp_path / "two" / "pack") == on_disk(pack_folder(club["two"]))


def test_what_is_delivered_stands(club: dict[str, Path]) -> None:
    folder = club["one"].parents[1]
    summary = on_disk(folder / "sum")
    before = on_disk(folder / "one" / "pack")
    done = list(batch(as_they_stand(club), lambda _: None, jobs=1))
    assert {d.project.label for d in done if d.project.status == 0} == SIZES.keys()
    assert all("the pack stands (0 computed" in d.how for d in done if d.project.status == 0)
    assert main(["batch", str(folder), "-o", str(folder / "sum"), "--buy-together", "--jobs", "1"]) == 2
    assert on_disk(folder / "sum") == summary  # nothing of how it came about is in it
    assert on_disk(folder / "one" / "pack") == before


def test_bought_together(club: dict[str, Path]) -> None:
    folder = club["one"].parents[1]
    summary = json.loads((folder / "sum" / "batch.json").read_text())
    packs = {name: json.loads((pack_folder(club[name]) / "pack.json").read_text()) for name in SIZES}
    together = summary["together"]
    assert [p["label"] for p in together["projects"]] == ["one", "two"]
    cents = {p["label"]: round(100 * float(p["share"])) for p in together["projects"]}
    assert sum(cents.values()) == round(100 * float(together["cost"]["total"]))
    assert float(together["cost"]["total"]) < sum(float(p["cost"]["total"]) for p in packs.values())
    placed = [p["part"] for s in together["cutting"]["sheets"] for p in s["parts"] for _ in range(s["times"])]
    marks = {p["label"]: p["mark"] for p in together["projects"]}
    wanted = [
        f"{marks[n]}-{p['id']}"
        for n, pack in packs.items()
        for b in pack["boards"]
        for p in b["parts"] * COPIES[n]
    ]
    assert sorted(placed) == sorted(wanted)
    hours = {line["what"]: line["number"] for line in together["cost"]["work"]}
    assert hours["boards, glued up and squared"] == 1 + 3
    area = sum(n * SIZES[name] * 400 for name, n in COPIES.items()) / 1e6
    assert float(together["cost"]["area_m2"]) == pytest.approx(area, abs=1e-4)
    assert [f["code"] for f in summary["findings"] if f["severity"] == "caution"] == ["BW-MANY-003"]
    with zipfile.ZipFile(folder / "sum" / "workbook.xlsx") as book:
        assert b"gone.dxf" in book.read("xl/worksheets/sheet3.xml")  # the finding of the bad project
    assert len(list((folder / "sum" / "dxf" / "sheets").glob("*.dxf"))) == len(together["cutting"]["sheets"])


SERIES = """
name = "Harbour"
spare_ends = 1
first_number = 7
[settings]
"joints.jigs" = true
[[modules]]
project = "one/layout.toml"
copies = 2
[[modules]]
name = "one left-hand"
project = "one/layout.toml"
settings = { "drawing.mirrored" = true }
[[modules]]
project = "two/layout.toml"
copies = 2
"""


def test_a_series_of_different_modules(club: dict[str, Path], capsys: pytest.CaptureFixture[str]) -> None:
    folder = club["one"].parents[1]
    (folder / "series.toml").write_text(SERIES)
    before = on_disk(pack_folder(club["one"]))
    words = ["series", str(folder / "series.toml"), "--jobs", "1"]
    assert main(words) == 0
    assert "All 21 pairs of ends mate." in capsys.readouterr().out
    assert on_disk(pack_folder(club["one"])) == before  # the project's own pack is not touched
    assert main(["verify", str(folder / "one" / "pack-one left-hand")]) == 0
    together = json.loads((folder / "series" / "batch.json").read_text())["together"]
    series = together["series"]
    names = ["one/E01", "one/E02", "one left-hand/E01", "one left-hand/E02", "two/E01", "two/E02"]
    pairs = [(met["one"], met["other"]) for met in series["ends"]]
    assert pairs == [(a, b) for n, a in enumerate(names) for b in names[n:]]
    assert all(met["mates"] and met["apart_mm"] <= 0.01 and met["holes"] for met in series["ends"])
    assert [(c["number"], c["module"]) for c in series["copies"]] == [
        (7, "one"),
        (8, "one"),
        (9, "one left-hand"),
        (10, "two"),
        (11, "two"),
    ]
    cents = sum(round(100 * float(c["cost"])) for c in series["copies"])
    assert cents == round(100 * float(together["cost"]["total"]))
    cut: Counter[str] = Counter()
    for sheet in together["cutting"]["sheets"]:
        for placed in sheet["parts"]:
            cut[placed["part"]] += sheet["times"]
    copies = {"M1": 2, "M2": 1, "M3": 2}
    wanted = Counter(p["id"] for b in together["parts"].values() for p in b["parts"] * copies[b["board"][:2]])
    assert len(series["jigs"]) == 1  # one for the ends of all three kinds
    assert len(series["spare"]) == 1  # of one kind, for all ends are alike
    assert cut == wanted + Counter(series["jigs"]) + Counter(series["spare"])
    labels = (folder / "series" / "labels.html").read_text()
    assert [f"No. {n}<" in labels for n in range(6, 13)] == [False, *[True] * 5, False]
    assert main(words) == 0
    assert "3 of 3 projects have their pack" in capsys.readouterr().out
    _, orders = read_series(folder / "series.toml")
    left = orders["one left-hand"]
    here_ = on_disk(left.out)
    shutil.rmtree(left.out)
    (done,) = list(by_executor({"one left-hand": left}, Elsewhere()))  # type: ignore[arg-type]  # all that is used
    assert "pack written" in done.how
    assert on_disk(left.out) == here_  # its settings travelled with it


def test_ends_that_do_not_mate_are_given_a_profile_that_does(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Behind an end of the second module hangs a box where the first has its bolt: written into the file as
    it is told, the profile has room on all ends, and all of them mate."""
    project(tmp_path / "plain", 900)
    with_list = '[devices]\nfile = "devices.csv"\n'
    project(tmp_path / "full", 900, with_list)
    size = "length_mm,width_mm,depth_mm,clearance_mm"
    (tmp_path / "full" / "devices.csv").write_text(
        f"id,kind,x_mm,y_mm,{size}\nP1,electronics,60,60,60,50,60,5\n"
    )
    series = '[[modules]]\nproject = "plain/layout.toml"\n[[modules]]\nproject = "full/layout.toml"\n'
    file = tmp_path / "series.toml"
    file.write_text(f'name = "Two"\n{series}')
    words = ["series", str(file), "--jobs", "1"]
    assert main(words) == 1
    said = " ".join("".join(capsys.readouterr()).split())
    assert "do not mate" in said
    told = re.search(r'has room on every end of every module[^:]*: (".*?\} \})', said)
    assert told
    file.write_text(f'name = "Two"\n[settings]\n"module_ends.profile" = "ours"\n{told[1]}\n{series}')
    assert main(words) == 0
    said = "".join(capsys.readouterr())
    assert "All 10 pairs of ends mate." in said
    assert "BW-JOINT-012" not in said
    assert main(["verify", str(tmp_path / "full" / "pack-full")]) == 0


class Elsewhere:
    """An executor of another machine: nothing but bytes goes there and comes back."""

    def submit(self, function: object, sent: object) -> object:
        from concurrent.futures import Future

        call: Future[object] = Future()
        assert function is pack_elsewhere
        carried = msgspec.msgpack.decode(msgspec.msgpack.encode(sent), type=type(sent))
        call.set_result(pack_elsewhere(carried))
        return call


def test_figures_are_those_of_the_pack(club: dict[str, Path]) -> None:
    summary = json.loads((club["one"].parents[1] / "sum" / "batch.json").read_text())
    for told in summary["projects"]:
        if told["label"] in SIZES:
            data = json.loads((pack_folder(club[told["label"]]) / "pack.json").read_text())
            figures = {f["key"]: f["value"] for f in told["figures"]}
            assert figures["boards"] == len(data["boards"]) == 1
            assert figures["cost"] == float(data["cost"]["total"])
            assert figures["mass"] == pytest.approx(sum(b["mass_kg"] for b in data["boards"]), abs=1e-6)
            sags = [s["measured"] for s in data["boards"][0]["strength"]["lines"] if "-sag" in s["key"]]
            assert figures["sag"] == max(sags)


def test_a_pack_made_elsewhere_is_the_pack_made_here(club: dict[str, Path], tmp_path: Path) -> None:
    there = {"one": clean(club["one"], tmp_path)}
    (done,) = list(by_executor(as_they_stand(there), Elsewhere()))  # type: ignore[arg-type]  # all that is used of one
    assert (done.project.status, "pack written" in done.how) == (0, True)
    assert on_disk(pack_folder(there["one"])) == on_disk(pack_folder(club["one"]))
    (again,) = list(by_executor(as_they_stand(there), Elsewhere()))  # type: ignore[arg-type]  # all that is used of one
    assert "the pack stands" in again.how
    # its results came back too: a changed price costs no board anything
    text = there["one"].read_text()
    there["one"].write_text(f"{text}\n[costing]\ntax_percent = 20\n")
    (dearer,) = list(by_executor(as_they_stand(there), Elsewhere()))  # type: ignore[arg-type]  # all that is used of one
    assert "pack written" in dearer.how
    assert int(dearer.how.partition("(")[2].split()[0]) < 10


def test_a_worker_that_is_killed_costs_no_pack(club: dict[str, Path], tmp_path: Path) -> None:
    """Two worker processes of a dask cluster, one of them killed half-way: the same bytes."""
    for name in ("one", "two", "one again"):
        shutil.copytree(club[name[:3]].parent, tmp_path / name, ignore=MADE)
    script = Path(__file__).with_name("on_cluster.py")
    done = subprocess.run(
        [sys.executable, script, tmp_path], capture_output=True, text=True, check=True, timeout=300
    )
    first, killed, *others = done.stdout.splitlines()
    assert killed == "killed"
    assert sorted(line.partition(" 0 pack written")[0] for line in (first, *others)) == [
        "one",
        "one again",
        "two",
    ]
    for name in ("one", "two", "one again"):
        assert on_disk(tmp_path / name / "pack") == on_disk(pack_folder(club[name[:3]]))


def test_nobody_answers(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    project(tmp_path / "one", 900)
    words = ["batch", str(tmp_path), "-o", str(tmp_path / "sum"), "--cluster", "tcp//nowhere"]
    assert main(words) == 2
    assert "BW-MANY-006" in capsys.readouterr().err


def test_a_worker_with_other_code_is_refused(club: dict[str, Path], tmp_path: Path) -> None:
    from boardwright.many.cluster import Returned, take_in

    file = project(tmp_path / "one", SIZES["one"])
    done: Done = next(iter(batch(as_they_stand({"one": club["one"]}), lambda _: None, jobs=1)))
    receipt = {"code": {"boardwright/x.py": "0"}, "versions": {}, "door": [], "packages": ["boardwright"]}
    answer = take_in("one", file, pack_folder(file), Returned(done, {"pack.json": b"{}"}, receipt))
    assert answer.project.findings[0]["code"] == "BW-MANY-004"
    assert not pack_folder(file).exists()


def test_a_parcel_holds_what_the_project_names(tmp_path: Path) -> None:
    file = project(tmp_path / "members" / "one", 800, '[house]\nrules = "../rules.toml"\n')
    (tmp_path / "members" / "rules.toml").write_text('by = "Club"\n')
    assert sorted(parcel("one", file).files) == ["../rules.toml", "layout.toml", "plan.dxf"]


VARY = ("framing.depth_mm=20,90", "framing.deck_material=birch ply,no such wood")


def test_each_construction_is_what_a_clean_run_of_it_is(tmp_path: Path) -> None:
    file = project(tmp_path / "shelf", 900)
    found = study(file, [read_option(text) for text in VARY], lambda _: None, jobs=1)
    by_number = {c.number: c for c in found.constructions}
    assert list(by_number) == list(range(5))
    assert not (tmp_path / "shelf" / "pack").exists()
    for number in (1, 3):
        alone = clean(file, tmp_path / str(number))
        written = "".join(f"{key} = {json.dumps(value)}\n" for key, value in by_number[number].settings)
        alone.write_text(written + file.read_text())
        _, other = walk(alone, number, {})
        assert (other.figures, other.findings) == (by_number[number].figures, by_number[number].findings)
    # what cannot be made or must not be built is shown as such, not left out
    assert {n for n, c in by_number.items() if c.refused} == {2, 4}
    assert all("no such wood" in c.trouble for c in by_number.values() if c.refused)
    assert {n for n, c in by_number.items() if c.faults and not c.refused} == {1}  # 20 mm deep: too weak
    assert not any(c.best for c in by_number.values() if not c.sound)
    assert found.counts == ("cost", "mass", "sag", "depth")
    depths = {n: c.figure("depth") for n, c in by_number.items() if not c.refused}
    shown = {n: figure.value for n, figure in depths.items() if figure}
    assert shown == {0: 99.0, 1: 29.0, 3: 99.0}  # the frame and 9 mm of deck


def test_the_study_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = project(tmp_path / "shelf", 900).parent
    study_file = tmp_path / "study.toml"
    study_file.write_text('[vary]\n"framing.depth_mm" = { from = 70, to = 90, step = 20 }\n')
    assert main(["study", str(folder), str(study_file), "--jobs", "1"]) == 0
    assert "framing.depth_mm from 70 to 90: costs: " in capsys.readouterr().out
    page = (folder / "study" / "index.html").read_text()
    assert page.count("<circle") == 3 * 3  # three constructions in three panels
    assert "<script" not in page
    assert "http" not in page.replace("http://www.w3.org/2000/svg", "").replace("http-equiv", "")
    data = json.loads((folder / "study" / "study.json").read_text())
    assert [c["number"] for c in data["constructions"]] == [0, 1, 2]
    assert main(["study", str(folder), "--vary", "framing.depth_mm=80,-1", "--jobs", "1"]) == 0
    assert "cannot be made" in " ".join(capsys.readouterr().out.split())  # the other is shown


@pytest.mark.parametrize(
    ("vary", "mend"),
    [
        ("framing.dept_mm=70,90", "Did you mean 'depth_mm'?"),
        ("framing.depth_mm=deep", "Change the value"),
    ],
)
def test_a_study_of_which_nothing_can_be_made_is_refused(club: dict[str, Path], vary: str, mend: str) -> None:
    done = here("study", club["one"], "--vary", vary, "-o", "nothing", cwd=club["one"].parent)
    assert done.returncode == 2
    assert "None of the constructions can be made" in done.stderr
    assert f"mend: {mend}" in done.stderr
    assert not (club["one"].parent / "nothing").exists()
