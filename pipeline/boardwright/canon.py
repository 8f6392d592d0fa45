"""Canonical bytes: one value, one sequence of bytes, one digest.

Everything that is stored or compared goes through here. Encoding is JSON with sorted keys and shortest
round-trip numbers, or msgpack where the type holds bytes, which JSON does not know; ``settle`` reads the
bytes back by type, so that a value fresh from a stage and the same value from the store are
indistinguishable (1 and 1.0, list and tuple).
"""

from __future__ import annotations

import hashlib
from functools import cache
from typing import Any

import msgspec

from .typetree import holds


def plain(value: Any) -> Any:
    """Array libraries hand out their own kinds of float and int; they are stored as plain ones."""
    if isinstance(value, float):
        return float(value)
    if isinstance(value, int):
        return int(value)
    raise TypeError(f"a {type(value).__name__} cannot be stored: stages exchange nouns, numbers and texts")


_encoder = msgspec.json.Encoder(order="deterministic", enc_hook=plain)
_encoder_of_bytes = msgspec.msgpack.Encoder(order="deterministic", enc_hook=plain)


def told(value: Any) -> bytes:
    """Bytes that tell one value from another, quicker to make than those that are stored; never read."""
    return _encoder_of_bytes.encode(value)


def encode(value: Any, kind: Any = None) -> bytes:
    """``kind``: the type to be decoded as, where the value will be."""
    return (_encoder_of_bytes if _holds_bytes(kind) else _encoder).encode(value)


def decode(data: bytes, kind: Any) -> Any:
    return (msgspec.msgpack if _holds_bytes(kind) else msgspec.json).decode(data, type=kind)


def apart(data: bytes, kind: Any) -> dict[str, bytes]:
    """The bytes of each value of a dict of ``kind`` by name: those each would be encoded as alone."""
    form = msgspec.msgpack if _holds_bytes(kind) else msgspec.json
    return {name: bytes(raw) for name, raw in form.decode(data, type=dict[str, msgspec.Raw]).items()}


@cache
def _holds_bytes(kind: Any) -> bool:
    from msgspec.inspect import BytesType

    return holds(kind, BytesType)


def settle(value: Any, kind: Any) -> tuple[Any, bytes]:
    """Return (value, bytes) such that decoding the bytes gives the value and encoding it the bytes."""
    if kind in (str, bytes) and type(value) is kind:
        return value, encode(value, kind)
    settled = decode(encode(value, kind), kind)
    return settled, encode(settled, kind)


def digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()
