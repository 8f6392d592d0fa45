"""What counts as a change of code: everything a stage imports inside the plugin packages, but no comment."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from boardwright.engine.codeprint import CodePrints


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
    ],
)
def test_what_changes_the_fingerprint(package: Path, file: str, text: str, changes: bool) -> None:
    before = fingerprint()
    (package / file).write_text(text)
    assert (fingerprint() != before) is changes


def test_nothing_is_imported_to_find_out(package: Path) -> None:
    fingerprint()
    assert not any(name.startswith("toypack.") for name in sys.modules)
