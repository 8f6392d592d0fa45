"""Canonical bytes: what is settled comes back the same, and bytes are stored as bytes."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.inspect import BytesType, DecimalType

from boardwright.canon import apart, decode, encode, settle
from boardwright.stages import Files
from boardwright.typetree import holds, types_in


class Drawn(msgspec.Struct, frozen=True):
    name: str
    size_mm: float
    price: Decimal | None = None
    inside: tuple[Drawn, ...] = ()


class Printed(msgspec.Struct, frozen=True):
    drawn: Drawn
    pages: dict[str, bytes] = {}


drawn: st.SearchStrategy[Drawn] = st.recursive(
    st.builds(Drawn, st.text(), st.floats(allow_nan=False, allow_infinity=False), st.just(Decimal("1.50"))),
    lambda inner: st.builds(Drawn, st.text(), st.integers(0, 9), inside=st.tuples(inner)),
    max_leaves=4,
)


@given(st.builds(Printed, drawn, st.dictionaries(st.text(), st.binary())))
def test_settled_bytes_give_the_value_and_the_value_the_bytes(printed: Printed) -> None:
    value, data = settle(printed, Printed)
    assert value == printed
    assert decode(data, Printed) == value
    assert encode(value, Printed) == data
    backwards = Printed(printed.drawn, dict(reversed(printed.pages.items())))
    assert settle(backwards, Printed)[1] == data
    value, data = settle(
        printed.drawn, Drawn
    )  # without bytes in it: text that ``stage`` prints and ``why`` reads
    assert msgspec.json.decode(data, type=Drawn) == value == printed.drawn


@given(st.dictionaries(st.text(), st.builds(Printed, drawn, st.dictionaries(st.text(), st.binary()))))
def test_what_is_taken_apart_is_what_each_would_be_alone(boards: dict[str, Printed]) -> None:
    for kind, values in ((Printed, boards), (Drawn, {b: printed.drawn for b, printed in boards.items()})):
        settled, data = settle(values, dict[str, kind])
        assert apart(data, kind) == {b: encode(value, kind) for b, value in settled.items()}


def test_files_are_stored_as_they_are() -> None:
    pack = Files(files={"a.dxf": bytes(range(256)), "b": b""})
    value, data = settle(pack, Files)
    assert bytes(range(256)) in data
    assert value == pack
    assert settle(b"\0\xff", bytes)[1].endswith(b"\0\xff")


def test_numbers_of_array_libraries_are_plain_in_both_ways() -> None:
    import numpy as np

    for kind in (Drawn, Printed):
        one: Any = Drawn("a", np.float64(0.1))
        assert settle(one if kind is Drawn else Printed(one), kind)[0] in (
            Drawn("a", 0.1),
            Printed(Drawn("a", 0.1)),
        )


@pytest.mark.parametrize(
    ("kind", "has_bytes", "has_amounts"),
    [
        (Drawn, False, True),
        (Printed, True, True),
        (Files, True, False),
        (dict[str, list[bytes]], True, False),
        (tuple[int, str], False, False),
        (Any, False, False),
        (Decimal | None, False, True),
        (str | Decimal, False, False),  # nothing that can be stored: nobody can tell
        (int | bytes, True, False),
    ],
)
def test_what_is_inside_a_type_is_found(kind: Any, has_bytes: bool, has_amounts: bool) -> None:
    assert holds(kind, BytesType) is has_bytes
    assert holds(kind, DecimalType) is has_amounts
    assert len(types_in(Drawn)) < 12  # each struct once, though it holds itself
