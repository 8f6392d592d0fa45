"""What counts as a change of code: everything a stage imports inside the plugin packages, but no comment."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from boardwright.engine import printed
from boardwright.engine.codeprint import CodePrints
from boardwright.engine.keys import library_versions
from boardwright.engine.known import KnownCode
from boardwright.engine.printed import Prints


@pytest.fixture
def package(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = tmp_path / "toypack"
    (folder / "sub").mkdir(parents=True)
    (folder / "__init__.py").write_text("")
    (folder / "sub" / "__init__.py").write_text("from .deep import DEEP\n")
    (folder / "sub" / "deep.py").write_text("DEEP = 1\n")
    (folder / "rule.py").write_text('"""Doc."""\nfrom . import helper\nfrom toypack.sub import DEEP\n')
    (folder / "helper.py").write_text("LIMIT = 400  # common\n")
    (folder / "apart.py").write_text("X = 1\n")
    monkeypatch.syspath_prepend(str(tmp_path))
    monkeypatch.delitem(sys.modules, "toypack", raising=False)
    return folder


def fingerprint() -> str:
    return CodePrints({"toypack"}).of("toypack.rule")


def test_closure_follows_relative_and_absolute_imports(package: Path) -> None:
    assert CodePrints({"toypack"}).closure("toypack.rule") == {
        "toypack",
        "toypack.rule",
        "toypack.helper",
        "toypack.sub",
        "toypack.sub.deep",
    }


@pytest.mark.parametrize(
    ("file", "text", "changes"),
    [
        (
            "rule.py",
            '"""Other doc."""\n# note\nfrom . import helper\n\nfrom toypack.sub import DEEP\n',
            False,
        ),
        ("helper.py", "LIMIT = 400\n", False),
        ("helper.py", "LIMIT = 300\n", True),
        ("sub/deep.py", "DEEP = 2\n", True),
        ("apart.py", "X = 2\n", False),
        ("rule.py", "from . import helper\n", True),
        ("page.html", "<p>a template beside the code</p>", True),
        ("sub/table.csv", "1,2", True),
        ("pages/chapter.html", "<p>one</p>", True),
        ("pages/small/note.txt", "two", True),
        ("apart_pack/page.html", "<p>of a package nobody imports</p>", False),
        ("__pycache__/rule.cpython-312.opt", "3", False),
    ],
)
def test_what_changes_the_fingerprint(package: Path, file: str, text: str, changes: bool) -> None:
    (package / "apart_pack").mkdir()
    (package / "apart_pack" / "__init__.py").write_text("")
    before = fingerprint()
    (package / file).parent.mkdir(parents=True, exist_ok=True)
    (package / file).write_text(text)
    assert (fingerprint() != before) is changes


def test_nothing_is_imported_to_find_out(package: Path) -> None:
    fingerprint()
    assert not any(name.startswith("toypack.") for name in sys.modules)


class Pages:
    """What remembers prints, as a store does."""

    def __init__(self) -> None:
        self.kept: dict[str, tuple[str, tuple[str, ...]]] = {}

    def known_prints(self) -> Prints:
        return {}

    def keep_prints(self, prints: Prints) -> None:
        self.kept |= prints


def test_known_code_is_that_which_was_loaded_and_remembered_where_it_is_asked_for(
    package: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(printed, "known", lambda _: {})  # nothing beside the code
    known, first, second = KnownCode(), Pages(), Pages()
    loaded = known.prints({"toypack"}, first).of("toypack.rule")
    assert first.kept
    (package / "helper.py").write_text("LIMIT = 500\n")
    assert fingerprint() != loaded
    assert known.prints({"toypack"}, second).of("toypack.rule") == loaded
    assert not second.kept
    (package / "apart.py").write_text("X = 2\n")
    known.prints({"toypack"}, second).of("toypack.apart")  # first asked for now
    assert second.kept


def test_known_versions_are_nobody_elses_to_change() -> None:
    known = KnownCode()
    known.versions(["boardwright"])["python"] = "2"
    assert known.versions(["boardwright"]) == library_versions(["boardwright"])
