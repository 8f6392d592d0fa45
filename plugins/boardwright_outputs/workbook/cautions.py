"""Cautions printed on the front sheet.

Source: common practice, no source; the figures behind them (lifting, dust, noise) belong to the reference
tables.
"""

from __future__ import annotations

CAUTIONS: tuple[tuple[str, str], ...] = (
    (
        "Saws and drills",
        "Goggles and ear defenders with every powered tool. Guard and riving knife in place, blade only just "
        "deeper than the sheet, material and guide clamped, both hands on the saw, cable clear of the cut. "
        "Support the sheet on both sides of the cut. Unplug before changing a blade or a bit.",
    ),
    (
        "Dust",
        "Wood dust harms the lungs. Use extraction and a dust mask; saw and sand out of doors where you can.",
    ),
    (
        "Lifting",
        "Sheets and finished boards are awkward as well as heavy. Two people carry anything above 15 kg "
        "(a guideline for one person, quoted from memory, no safe limit), anything long, and anything on "
        "stairs.",
    ),
    (
        "Loads",
        "Boards carry models. Nobody stands, sits, leans or climbs on them. Fixings to walls and anything "
        "overhead follow local codes and are for a competent person.",
    ),
    (
        "Mains",
        "No mains wiring under the boards. Mains supplies and transformers are for a licensed person, to "
        "local codes.",
    ),
    (
        "Strength figures",
        "Spans and masses in this pack are an aid to judgement, not a structural design.",
    ),
    (
        "Before the first cut",
        "Measure the sheets you bought: true thickness and size differ from the name. Check one dimension of "
        "the drawing against the room.",
    ),
)
