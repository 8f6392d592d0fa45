"""File names hold only plain characters, stay inside the pack, and stay different."""

from __future__ import annotations

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boardwright_outputs.drawings.names import part_path, safe_name


@pytest.mark.parametrize("name", ["B01", "B01-S1", "S12", "J01.2"])
def test_our_own_ids_are_kept(name: str) -> None:
    assert safe_name(name) == name


@pytest.mark.parametrize(
    "name", ["../../x", "..", "/etc/passwd", "=cmd", "<script>", "a\x00b", "con", "NUL.dxf", ""]
)
def test_hostile_names(name: str) -> None:
    assert re.fullmatch(r"dxf/parts/[A-Za-z0-9_][A-Za-z0-9_.-]*\.dxf", part_path(name))
    assert ".." not in part_path(name)
    assert not re.fullmatch(r"(?i)(con|nul)(\..*)?", safe_name(name))


name = st.text(st.sampled_from("aB1-_./\\<=é\n\0"), max_size=90)


@settings(max_examples=200, deadline=None, derandomize=True)
@given(one=name, two=name)
def test_different_names_make_different_files(one: str, two: str) -> None:
    assert (safe_name(one) == safe_name(two)) == (one == two)
    assert len(safe_name(one)) < 80
