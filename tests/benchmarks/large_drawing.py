"""A drawing of half a million things, of which one in a hundred matters.

``python tests/benchmarks/large_drawing.py`` prints processor seconds and the ratio of our reading to the
library's own loading of the same file, and writes docs/benchmarks-reading.md. ``--things`` makes it smaller.
"""

from __future__ import annotations

import argparse
import io
import random
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import ezdxf

from boardwright.findings import Notes
from boardwright.plan.reading import read_plan
from boardwright.plan.settings import DeviceSettings, DrawingSettings, LayerSettings
from boardwright.plan.source import SourceFile

PAGE = Path(__file__).parents[2] / "docs" / "benchmarks-reading.md"
LAYERS = LayerSettings(outline=("Edge",), tracks=("Track",))


def drawing(things: int) -> bytes:
    """An edge, a track in a hundredth of the things, and scenery on seven other layers."""
    rng = random.Random(1)
    document = ezdxf.new("R2010", units=4)
    space = document.modelspace()
    space.add_lwpolyline([(0, 0), (6000, 0), (6000, 800), (0, 800)], close=True, dxfattribs={"layer": "Edge"})
    pieces = things // 100
    for n in range(pieces):
        ends = (5 + 5980 * n / pieces, 100), (5 + 5980 * (n + 1) / pieces, 100)
        space.add_line(*ends, dxfattribs={"layer": "Track"})
    for n in range(things - pieces - 1):
        layer = {"layer": f"Scenery {n % 7}"}
        x, y = rng.uniform(10, 5900), rng.uniform(10, 790)
        match n % 4:
            case 0:
                space.add_line((x, y), (x + 5, y + 5), dxfattribs=layer)
            case 1:
                space.add_circle((x, y), 3, dxfattribs=layer)
            case 2:
                space.add_arc((x, y), 3, 0, 90, dxfattribs=layer)
            case _:
                space.add_lwpolyline([(x, y), (x + 3, y), (x + 3, y + 4)], dxfattribs=layer)
    text = io.StringIO()
    document.write(text)
    return text.getvalue().encode()


def seconds(work: Callable[[], object]) -> float:
    start = time.process_time()
    work()
    return time.process_time() - start


def read(data: bytes) -> None:
    settings = DrawingSettings(file="plan.dxf", layers=LAYERS)
    read_plan(SourceFile("plan.dxf", data), None, settings, DeviceSettings(), "Large", Notes())


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--things", type=int, default=500_000)
    things = options.parse_args().things
    data = drawing(things)
    with tempfile.TemporaryDirectory() as name:
        file = Path(name, "plan.dxf")
        file.write_bytes(data)
        theirs = seconds(lambda: ezdxf.readfile(file))
    ours = seconds(lambda: read(data))
    text = (
        "# Reading a large drawing\n\n"
        "Made by `python tests/benchmarks/large_drawing.py`. No promise; machines differ.\n\n"
        f"{things:,} things, {len(data) / 1e6:.0f} MB, of which one in a hundred plays a role: reading it\n"
        f"takes {ours / theirs:.2f} times as long as the drawing library needs to load the file.\n"
    )
    PAGE.write_text(text)
    print(f"{text}\n{ours:.1f} s against {theirs:.1f} s")


if __name__ == "__main__":
    main()
