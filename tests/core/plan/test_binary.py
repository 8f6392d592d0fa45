"""Binary drawings: names outside the code page, files cut short, files damaged in the middle."""

from __future__ import annotations

import io
from typing import Any

import ezdxf
import pytest

from boardwright.plan.rings import area

SQUARE = [(0, 0), (1000, 0), (1000, 500), (0, 500)]


def binary(release: str, layer: str, encoding: str = "", units: bool = True) -> bytes:
    doc = ezdxf.new(release, units=4)
    if encoding:
        doc.encoding = encoding
    if not units:
        del doc.header["$INSUNITS"]
    space = doc.modelspace()
    if release == "R12":
        space.add_polyline2d(SQUARE, close=True, dxfattribs={"layer": layer})
    else:
        space.add_lwpolyline(SQUARE, close=True, dxfattribs={"layer": layer})
    for n in range(200):
        space.add_line((n, 100), (n + 1, 100), dxfattribs={"layer": "Track"})
    stream = io.BytesIO()
    doc.write(stream, fmt="bin")
    return stream.getvalue()


@pytest.mark.parametrize(
    ("release", "written", "meant", "encoding"),
    [
        ("R2000", "\\U+8f2a\\U+90ed", "輪郭", ""),  # spelt by number
        ("R12", "\\U+041A\\U+0440\\U+0430\\U+0439", "Край", ""),
        ("R2000", "Kant é ü", "Kant é ü", ""),
        ("R2000", "Край", "Край", "cp1251"),
        ("R2010", "輪郭 ü", "輪郭 ü", ""),
    ],
)
def test_names_outside_the_code_page(
    read: Any, release: str, written: str, meant: str, encoding: str
) -> None:
    case = read(binary(release, written, encoding), layers={"outline": [meant]}, units="mm")
    assert area(case.plan.outlines[0].ring) == 500_000
    assert case.plan.outlines[0].place.layer == meant


@pytest.mark.parametrize("release", ["R12", "R2000", "R2010"])
def test_a_file_cut_short_is_read_as_far_as_it_goes(read: Any, release: str) -> None:
    whole = binary(release, "Edge")
    entities = whole.index(b"ENTITIES")
    for cut in range(entities + 2500, entities + 2600, 9):  # in the middle of pairs, past the edge
        case = read(whole[:cut], units="mm")
        assert area(case.plan.outlines[0].ring) == 500_000
        assert 0 < sum(t.length_mm for t in case.plan.tracks) < 200
        assert "stops before its end" in case.notes["BW-READ-034"].says


@pytest.mark.parametrize("release", ["R12", "R2000", "R2010"])
def test_a_file_cut_anywhere_is_answered_in_plain_words(read: Any, release: str) -> None:
    whole = binary(release, "Edge")
    for cut in range(30, len(whole), len(whole) // 12):
        case = read(whole[:cut])
        for problem in case.problems.values():
            assert problem.mend
            assert not any(word in problem.says for word in ("Error", "Exception", "unpack", "index"))


def test_a_binary_file_that_declares_no_unit_says_so(read: Any) -> None:
    assert "BW-READ-004" in read(binary("R2000", "Edge", units=False)).notes
