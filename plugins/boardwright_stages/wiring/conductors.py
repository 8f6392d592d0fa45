"""Conductors by the names of the project file."""

from __future__ import annotations

from boardwright.errors import InputError
from boardwright.findings import Place
from boardwright_timber.reference import Conductor, conductor

from .network_settings import WireSettings


def named(name: str, key: str) -> Conductor:
    """Raises ``InputError`` naming the setting."""
    try:
        return conductor(name)
    except ValueError as error:
        raise InputError.of(
            "BW-WIRE-010", f"{key}: {error}", Place(key=key), "Write one of the sizes named."
        ) from error


def at_hand(settings: WireSettings) -> list[Conductor]:
    return [named(name, "wires.sizes") for name in settings.sizes]
