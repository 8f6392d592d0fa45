"""Ends of modules as open standards and clubs' norms have them: what was read of each, and what was not.

Claim: each row holds the figures that were seen in its source and no others. Where a standard has a figure
that was not seen (where its holes are, above all), the row names it as left open: whoever builds to it takes
it from the standard's own sheet and writes it into their own profile. Nothing here is a guess.

Glossary
    rail line   the top of the rails; heights of module ends are counted down from it, or up from the floor

What this does not know: which edition your club follows. Heights differ between norms by design.
"""

from __future__ import annotations

import msgspec


class PublishedEnd(msgspec.Struct, frozen=True, kw_only=True):
    """One published end. None, and an empty text or list: not seen. ``open``: what the sheet leaves to others
    or was not seen, in words."""

    name: str
    source: str
    widths_mm: tuple[float, ...] = ()
    depth_mm: float | None = None
    rail_above_floor_mm: float | None = None
    adjust_mm: float | None = None
    bolts: int | None = None
    bolt_size: str = ""
    bolt_hole_mm: float | None = None
    fixings_below_rail_mm: float | None = None
    opening_mm: tuple[float, float] | None = None
    longest_on_another_mm: float | None = None
    leg_mm: float | None = None
    leg_hole_mm: float | None = None
    leg_hole_from_top_mm: float | None = None
    open: tuple[str, ...] = ()

    @property
    def says(self) -> str:
        """What it says, in words."""
        words = [f"ends {' or '.join(f'{w:g}' for w in self.widths_mm)} mm wide"] if self.widths_mm else []
        words += [f"{self.depth_mm:g} mm deep"] if self.depth_mm else []
        if self.rail_above_floor_mm:
            play = f" ± {self.adjust_mm:g}" if self.adjust_mm else ""
            words.append(f"rails {self.rail_above_floor_mm:g}{play} mm above the floor")
        if self.bolts:
            for_size = f" for {self.bolt_size}" if self.bolt_size else ""
            words.append(f"{self.bolts} holes of {self.bolt_hole_mm:g} mm{for_size}")
        if self.fixings_below_rail_mm:
            words.append(f"holes {self.fixings_below_rail_mm:g} mm below the rails")
        if self.opening_mm:
            words.append(f"a cable opening {self.opening_mm[0]:g} × {self.opening_mm[1]:g} mm in the middle")
        if self.longest_on_another_mm:
            words.append(f"modules above {self.longest_on_another_mm:g} mm stand alone")
        if self.leg_mm:
            words.append(
                f"legs {self.leg_mm:g} mm with a hole of {self.leg_hole_mm:g}, {self.leg_hole_from_top_mm:g} "
                "from the top"
            )
        return ", ".join(words)


_HOLES = "where the holes are"
_TRACK = "where the track crosses"

PUBLISHED_ENDS: dict[str, PublishedEnd] = {
    end.name: end
    for end in (
        PublishedEnd(
            name="NEM 934 E",
            source="NEM 934 E (2015, national sheet), read",
            widths_mm=(600.0, 400.0),
            rail_above_floor_mm=1150.0,
            bolts=5,
            bolt_size="M8",
            bolt_hole_mm=10.0,
            opening_mm=(140.0, 40.0),
            leg_mm=1080.0,
            leg_hole_mm=8.5,
            leg_hole_from_top_mm=50.0,
            open=(_HOLES, "how deep the end is", _TRACK, "how high the opening is", "dowels", "connectors"),
        ),
        PublishedEnd(
            name="NEM 961 D",
            source="NEM 961 D / 909 D, planning aid for scale 0 (2009), read",
            fixings_below_rail_mm=67.0,
            open=(_HOLES + " along the end", "their size", "width and depth", "height", "connectors"),
        ),
        PublishedEnd(
            name="club norm 1:220",
            source="a club's norm in 1:220, read",
            rail_above_floor_mm=1000.0,
            adjust_mm=10.0,
            longest_on_another_mm=880.0,
            open=(_HOLES, "width and depth", _TRACK, "connectors"),
        ),
        PublishedEnd(
            name="club norm 1:32",
            source="a club's norm in 1:32 (end faces truly vertical), read",
            rail_above_floor_mm=1300.0,
            adjust_mm=15.0,
            open=(_HOLES, "width and depth", _TRACK, "connectors"),
        ),
        PublishedEnd(
            name="home norm",
            source="a norm for home use, read",
            widths_mm=(230.0,),
            depth_mm=100.0,
            bolts=2,
            bolt_hole_mm=10.0,
            open=(_HOLES, "the bolts' size", "height", _TRACK, "connectors"),
        ),
    )
}
