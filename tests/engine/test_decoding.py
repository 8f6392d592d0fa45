"""What is lent to stages cannot be changed; what can be is decoded for each call."""

from __future__ import annotations

from typing import Any

import msgspec
import pytest

from boardwright import catalogue
from boardwright.engine.decoding import decoded, unchangeable
from boardwright.plan.model import TrackPlan
from boardwright.stages import Reads


class Leaf(msgspec.Struct, frozen=True):
    sizes: tuple[float, ...]
    names: frozenset[str] = frozenset()
    above: Leaf | None = None


class Soft(msgspec.Struct):
    size: float


class Deep(msgspec.Struct, frozen=True):
    soft: tuple[Soft, ...] = ()


class Listing(msgspec.Struct, frozen=True):
    by_name: dict[str, float]


class Loose(msgspec.Struct, frozen=True, dict=True):
    size: float


@pytest.mark.parametrize("kind", [Leaf, tuple[Leaf, ...], str, Leaf | None, TrackPlan])
def test_frozen_through_and_through_is_lent(kind: Any) -> None:
    assert unchangeable(kind)


@pytest.mark.parametrize(
    "kind", [Soft, Deep, Listing, Loose, dict[str, Leaf], list[Leaf], tuple[Leaf, Soft], Any, object]
)
def test_what_can_change_anywhere_is_not(kind: Any) -> None:
    assert not unchangeable(kind)


def test_one_value_is_lent_and_another_made_anew() -> None:
    leaf, listing = b'{"sizes":[1]}', b'{"by_name":{"a":1}}'
    assert decoded(leaf, Leaf) is decoded(bytes(bytearray(leaf)), Leaf)
    first = decoded(listing, Listing)
    first.by_name["b"] = 2.0
    assert decoded(listing, Listing) == Listing({"a": 1.0})
    with pytest.raises(AttributeError):
        decoded(leaf, Leaf).sizes = ()
    assert decoded(b"[1,2]", tuple[int, ...]) == (1, 2)
    assert type(decoded(b"[1,2]", tuple[float, ...])[0]) is float  # of the type asked for, not of one alike


def test_most_of_what_our_stages_read_is_lent() -> None:
    """Else each of them would be decoded for every stage that reads it."""
    kinds = {
        i.type
        for s in catalogue.collect().stages
        for i in s.inputs
        if i.reads in (Reads.ONE, Reads.ALL, Reads.NEAR)
    }
    assert len([k for k in kinds if not unchangeable(k)]) < 0.1 * len(kinds)
