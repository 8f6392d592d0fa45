"""Every hook is documented with its signature and used by a real plugin; every public name is listed."""

from __future__ import annotations

import inspect
from pathlib import Path

import boardwright
from boardwright import hookspecs
from boardwright.plugins import make_plugin_manager

PAGE = (Path(__file__).parents[2] / "docs" / "hooks.md").read_text()


def hooks() -> list[str]:
    return [n for n, f in vars(hookspecs).items() if inspect.isfunction(f) and hasattr(f, "boardwright_spec")]


def test_every_hook_is_a_heading() -> None:
    assert hooks()
    for name in hooks():
        arguments = ", ".join(inspect.signature(getattr(hookspecs, name)).parameters)
        assert f"## {name}({arguments})" in PAGE


def test_every_hook_is_used() -> None:
    manager = make_plugin_manager()
    for name in hooks():
        assert getattr(manager.hook, name).get_hookimpls(), f"no plugin implements {name}"


def test_public_names_are_listed() -> None:
    for name in boardwright.__all__:
        if not name.startswith("__"):
            assert f"`{name}`" in PAGE
            assert getattr(boardwright, name) is not None
