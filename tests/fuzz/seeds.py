"""Small sound files of every format, for the mutants to descend from."""

from __future__ import annotations

import io
from functools import cache

import ezdxf
import openpyxl
from ezdxf.addons.r12writer import r12writer

SVG = b"""<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://nowhere.invalid/svg11.dtd">
<svg xmlns="http://www.w3.org/2000/svg" xmlns:n="urn:names" width="1600mm" height="500mm"
 viewBox="0 0 1600 500" preserveAspectRatio="xMidYMid meet">
<style>.off { display: none }</style>
<defs>
<symbol id="servo" viewBox="-10 -10 20 20"><rect x="-9" y="-5" width="18" height="10" rx="2"/></symbol>
<g id="t"><path d="M0 0h200l0 30z"/><use href="#rail" x="3"/></g>
<path id="rail" d="M0 0C50 0 100 10 150 20S180 30 200 30Q210 30 220 31T240 32"/>
</defs>
<g n:label="Edge" id="layer1"><path d="M0 0H1600V400A100 100 0 0 1 1500 500H0z"/>
<circle cx="800" cy="250" r="60"/></g>
<g n:label="Track" transform="translate(0 10)"><path d="m0,90 h700 c 100,0 200,50 300,50 l600 0"/>
<polyline points="0,300 900,300 1500,200"/><path d="M0 350a900 900 0 0 0 600 60" class="off"/></g>
<g n:label="Turnouts"><use href="#t" id="T1" transform="translate(300 90) rotate(-3) scale(1,-1)"/></g>
<g n:label="Obstacles"><polygon points="100,400 200,400 200,450 100,450"/>
<ellipse cx="1200" cy="400" rx="60" ry="30"/></g>
<g n:label="Devices"><use href="#servo" id="M1" x="500" y="200" width="40" height="40" data-depth-mm="55"/>
<rect id="feed-1" x="900" y="150" width="10" height="10" data-kind="feed"/></g>
<g n:label="Joints"><line x1="700" y1="0" x2="700" y2="500"/></g>
<text x="5" y="9">quay <tspan>two</tspan></text>
</svg>
"""
BOARD = (
    b'<svg xmlns="http://www.w3.org/2000/svg" width="1600mm" viewBox="0 0 1600 500">'
    b'<rect id="edge" width="1600" height="500"/></svg>'
)
CSV = b"""id,kind,x_mm,y_mm,angle_deg,length_mm,width_mm,depth_mm,clearance_mm,note
M1,point_motor,300,200,90,60,30,,,by the shed
M2,servo,500.5,210,,,,40,5,
F1,dropper,650.25,100,,,,,,"blue, thin"
P1,panel,900,250,,,,,,
"""
TOML = b"""[layout]
name = "Quay"
[drawing]
file = "plan.svg"
units = "auto"
drawn_at = "model"
scale = "1:76.2"
chord_error_mm = 0.05
gap_mm = 0.1
[drawing.layers]
outline = ["Edge"]
tracks = ["Track*"]
turnouts = ["Turnouts"]
devices = ["Devices"]
[devices]
file = "devices.csv"
clearance_mm = 12.5
[devices.kinds.winch]
length_mm = 70
width_mm = 20
[joists]
spacing_mm = 300
[stages]
plugins = []
"""


def _draw(doc: ezdxf.document.Drawing) -> None:
    space = doc.modelspace()
    corners = [(0, 0, 0), (1600, 0, 0), (1600, 400, 0.4), (1500, 500, 0), (0, 500, 0)]
    space.add_lwpolyline(corners, "xyb", close=True, dxfattribs={"layer": "Edge"})
    space.add_arc((300, 900), 800, 250, 300, dxfattribs={"layer": "Track"})
    space.add_spline([(0, 100), (500, 110), (900, 200)], dxfattribs={"layer": "Track"})
    space.add_ellipse((800, 250), (60, 0), 0.5, dxfattribs={"layer": "Edge"})
    block = doc.blocks.new("servo")
    block.add_circle((0, 0), 9)
    insert = space.add_blockref("servo", (500, 200), dxfattribs={"layer": "Devices", "rotation": 30})
    insert.add_attrib("NAME", "M1", (500, 200))
    many = {"layer": "Track", "column_count": 2, "column_spacing": 9}
    space.add_blockref("servo", (300, 300), dxfattribs=many)


@cache
def dxf_new() -> bytes:
    doc = ezdxf.new("R2000", units=4)
    _draw(doc)
    text = io.StringIO()
    doc.write(text)
    return text.getvalue().encode()


@cache
def dxf_binary() -> bytes:
    doc = ezdxf.new("R2000", units=4)
    _draw(doc)
    stream = io.BytesIO()
    doc.write(stream, fmt="bin")
    return stream.getvalue()


@cache
def dxf_r12() -> bytes:
    text = io.StringIO()
    with r12writer(text) as dxf:
        corners = [(0, 0), (1600, 0), (1600, 500), (0, 500)]
        for a, b in zip(corners, [*corners[1:], corners[0]], strict=True):
            dxf.add_line(a, b, layer="Edge")
        dxf.add_arc((300, 900), 800, 250, 300, layer="Track")
        dxf.add_circle((800, 250), 60, layer="Obstacles")
        dxf.add_polyline_2d([(0, 100, 0, 0, 0.3), (900, 120, 0, 0, 0)], format="xyseb", layer="Track")
        dxf.add_point((5, 5), layer="Lift")
        dxf.add_text("quay", (5, 9), layer="Words")
    return text.getvalue().encode()


@cache
def xlsx() -> bytes:
    book = openpyxl.Workbook()
    book.active.append(["id", "kind", "x_mm", "y_mm", "note"])
    book.active.append(["M1", "point_motor", 300, 200, "by the shed"])
    book.active.append(["M2", "servo", 500.5, 210])
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()
