"""What the docs say is what is there: the settings page, the README's commands and CI's."""

from __future__ import annotations

import importlib.util
import re
from decimal import Decimal
from pathlib import Path
from types import ModuleType
from typing import Any

import msgspec

from boardwright import Notes
from boardwright.catalogue import collect
from boardwright.cli import COMMANDS, parser
from boardwright.plan.kinds import Catalogue
from boardwright.plan.settings import ROLES, DeviceSettings
from boardwright.plan.words import role_of
from boardwright.project import CORE_SECTIONS, read_project
from boardwright_stages.costing.lines import price_of
from boardwright_stages.costing.settings import CostingSettings
from boardwright_stages.nesting.settings import StockSettings

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


def test_layer_names_of_the_drawing_guide_are_understood() -> None:
    """Every layer the guide names plays its role without [drawing.layers], and no role is left out."""
    guide = (ROOT / "docs" / "drawing-a-plan.md").read_text()
    named = dict(re.findall(r"^\| `([^`]+)` \| (\w+) \|", guide, flags=re.MULTILINE))
    assert {role_of(layer) for layer in named} == set(ROLES)
    assert {layer: role_of(layer) for layer in named} == named


def test_examples_of_the_settings_page_can_be_used(tmp_path: Path) -> None:
    """Every example is read, and does what the words beside it say."""
    examples = re.findall(
        r"```toml\n(.+?)```", (ROOT / "docs" / "project-file.md").read_text(), flags=re.DOTALL
    )
    assert len(examples) == 3
    path = tmp_path / "layout.toml"
    path.write_text("\n".join(examples))
    read = read_project(path, collect().sections)
    assert [s.name for s in read.section(StockSettings).sheets] == ["deck ply", "frame ply"]  # none built in
    kinds = Catalogue(read.section(DeviceSettings), Notes())
    named = {name: found[1] for name in ("point_motor", "my lamp") if (found := kinds.find(name))}
    assert (named["point_motor"].depth_mm, named["point_motor"].length_mm) == (75.0, 60.0)
    assert (named["my lamp"].depth_mm, named["my lamp"].length_mm) == (0.0, 12.0)
    prices = read.section(CostingSettings)
    for item, price in (("screw-3.5x30", "7.50"), ("wood-glue", "8.20"), ("nut-M8", "0.10")):
        found = price_of(item, prices)
        assert found is not None
        assert found.price == Decimal(price)


def test_the_readme_says_what_installing_needs() -> None:
    assert "the internet once" in README
    assert "docs/drawing-a-plan.md" in README


def test_what_a_pattern_asks_for_is_said_in_words() -> None:
    """A modeller who wrote a name that may not be is not shown a regular expression."""
    patterned, silent = 0, []
    todo: list[tuple[str, Any, str]] = [
        (table, msgspec.inspect.type_info(kind), "")
        for table, kind in {**collect().sections, **CORE_SECTIONS}.items()
    ]
    while todo:
        key, here, form = todo.pop()
        if isinstance(here, msgspec.inspect.Metadata):
            todo.append((key, here.type, form or (here.extra or {}).get("form", "")))
        elif isinstance(here, msgspec.inspect.StructType):
            todo += [(f"{key}.{field.name}", field.type, "") for field in here.fields]
        elif isinstance(here, msgspec.inspect.StrType):
            patterned += bool(here.pattern)
            silent += [key] if here.pattern and not form else []
        else:
            inner = (*getattr(here, "item_types", ()), *getattr(here, "types", ()))
            inner += tuple(getattr(here, n) for n in ("item_type", "value_type") if hasattr(here, n))
            todo += [(key, t, form) for t in inner if isinstance(t, msgspec.inspect.Type)]
    assert patterned > 2
    assert silent == []
