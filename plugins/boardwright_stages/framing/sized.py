"""The sizes that count: those that were chosen from the stock, else those of the project file."""

from __future__ import annotations

from boardwright_timber.model import FrameSize

from .settings import FramingSettings

AS_SET = FrameSize()


def sized(framing: FramingSettings, size: FrameSize) -> FramingSettings:
    """The framing settings with the sizes that were chosen in place of those that were set."""
    if size.strip is not None:
        framing = framing.changed(
            member_thickness_mm=size.strip.thickness_mm,
            depth_mm=size.strip.depth_mm,
            member_material=size.strip.material,
        )
    return framing if size.deck_mm is None else framing.changed(deck_thickness_mm=size.deck_mm)
