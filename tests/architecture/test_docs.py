"""What the docs say is what is there: the settings page, the README's commands and CI's."""

from __future__ import annotations

import importlib.util
import re
from pathlib import Path
from types import ModuleType
from typing import Any

import msgspec

from boardwright.catalogue import collect
from boardwright.cli import COMMANDS, parser
from boardwright.project import CORE_SECTIONS

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text()


def load(path: Path) -> ModuleType:
    spec = importlib.util.spec_from_file_location(path.stem, path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_settings_page_is_current() -> None:
    maker = load(ROOT / "docs" / "make_project_file.py")
    assert (ROOT / "docs" / "project-file.md").read_text() == maker.page()


def test_devices_page_is_current() -> None:
    maker = load(ROOT / "docs" / "make_devices.py")
    assert (ROOT / "docs" / "devices.md").read_text() == maker.page()


def test_every_setting_says_what_it_is() -> None:
    silent = []
    for table, kind in {**collect().sections, **CORE_SECTIONS}.items():
        for field in msgspec.inspect.type_info(kind).fields:  # type: ignore[union-attr]  # sections are structs
            told: Any = field.type
            if not isinstance(told, msgspec.inspect.Metadata) or not (told.extra_json_schema or {}).get(
                "description"
            ):
                silent.append(f"{table}.{field.name}")
    assert silent == []


def test_ci_runs_the_readmes_commands() -> None:
    commands = re.findall(r"```sh\n(.+?)\n```", README, flags=re.DOTALL)
    assert len(commands) == 2
    script = (ROOT / ".ci" / "run").read_text().splitlines()
    for command in commands:
        assert command in script


def test_every_command_is_in_the_readme() -> None:
    for module in COMMANDS:
        name = module.__name__.rpartition(".")[2]
        assert f"`boardwright {name}" in README
        assert name in parser().format_help()


def test_links_in_the_docs_lead_somewhere() -> None:
    pages = [ROOT / "README.md", ROOT / "DEVELOPERS.md", *(ROOT / "docs").rglob("*.md")]
    for page in pages:
        for link in re.findall(r"\]\(([^)#]+)", page.read_text()):
            assert (page.parent / link).exists(), f"{page.relative_to(ROOT)} links to {link}"
