"""An SVG drawing: its page, its names as layers, its hidden things, and what is refused."""

from __future__ import annotations

import gzip
from typing import Any

import pytest

from boardwright.plan import svg

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:l="urn:l" width="1000mm" height="500mm" '
HEAD += 'viewBox="0 0 1000 500">'
EDGE = '<rect class="edge" width="1000" height="500"/>'


def page(body: str, head: str = HEAD) -> bytes:
    return f"{head}{body}</svg>".encode()


def size(case: Any) -> tuple[float, float]:
    ring = case.plan.outlines[0].ring
    assert min(x for x, _ in ring) == pytest.approx(0)
    assert min(y for _, y in ring) == pytest.approx(0)
    return max(x for x, _ in ring), max(y for _, y in ring)


@pytest.mark.parametrize(
    ("head", "width_mm"),
    [
        ('width="1000mm" height="500mm" viewBox="0 0 1000 500"', 1000),
        ('width="100cm" viewBox="0 0 1000 500"', 1000),
        ('height="25in" viewBox="0 0 1000 500"', 1270),  # 500 units are 25 in = 635 mm: one is 1.27 mm
        (
            'width="2000mm" height="3000mm" viewBox="0 0 1000 500"',
            2000,
        ),  # the whole box: the smaller factor, 2
        ('width="2000mm" height="3000mm" viewBox="0 0 1000 500" preserveAspectRatio="xMinYMin slice"', 6000),
        ('width="7200pt" viewBox="0 0 1000 500"', 2540),
    ],
)
def test_the_pages_unit(read: Any, head: str, width_mm: float) -> None:
    case = read(page(EDGE, f'<svg xmlns="http://www.w3.org/2000/svg" {head}>'), layers={"outline": ["edge"]})
    assert size(case) == pytest.approx((width_mm, width_mm / 2))
    assert "BW-READ-004" not in case.notes


def test_a_page_in_pixels_states_no_size(read: Any) -> None:
    head = '<svg xmlns="http://www.w3.org/2000/svg" width="1000" height="500">'
    case = read(page(EDGE, head))
    assert size(case) == (1000, 500)
    assert case.notes["BW-READ-004"].severity == "mended"
    # stated: 1000 px of 1/96 inch are 264.583 mm
    assert size(read(page(EDGE, head), units="px")) == pytest.approx((264.583333, 132.291667))
    # a physical size without a view box: the numbers count pixels, as CSS says
    physical = '<svg xmlns="http://www.w3.org/2000/svg" width="4000mm" height="132.291667mm">'
    big = '<rect class="edge" width="4000" height="500"/>'
    assert size(read(page(big, physical))) == pytest.approx((1058.333333, 132.291667))


def test_a_page_drawn_taller_than_wide(read: Any) -> None:
    head = HEAD.replace('height="500mm"', 'height="1000mm" preserveAspectRatio="none"')
    assert size(read(page(EDGE, head))) == pytest.approx((1000, 1000))


def test_the_origin_is_the_lower_left_corner_of_the_view_box(read: Any) -> None:
    head = HEAD.replace("0 0 1000 500", "-200 300 1000 500")
    case = read(page('<rect class="edge" x="-200" y="300" width="1000" height="500"/>', head))
    assert size(case) == (1000, 500)


def test_names_are_layers(read: Any) -> None:
    body = (
        '<g l:label="Rim" id="layer1"><g><rect width="1000" height="500"/></g></g>'
        '<g id="main"><path class="siding" d="M0 100H900"/><path d="M0 200H900"/>'
        '<g l:label="Rim post"><rect x="300" y="300" width="50" height="50" class="pillar"/></g></g>'
        '<path id="cut" d="M500 0V500"/>'
    )
    layers = {"outline": ["rim"], "tracks": ["MAIN"], "obstacles": ["pil*"], "joints": ["cut"]}
    case = read(page(body), layers=layers)
    assert [t.points[0] for t in case.plan.tracks] == [(0, 300), (0, 400)]
    assert [t.place.layer for t in case.plan.tracks] == ["main", "main"]
    assert len(case.plan.obstacles) == 1
    assert [(j.start, j.end) for j in case.plan.drawn_joints] == [((500, 0), (500, 500))]
    assert case.plan.drawn_joints[0].place.handle == "cut"
    # the nearest name with a role wins
    nearest = read(page(body), layers={**layers, "lift_outs": ["siding"]})
    assert [t.points[0] for t in nearest.plan.tracks] == [(0, 300)]


def test_an_id_that_a_program_made_up_is_a_layer_only_when_named(read: Any) -> None:
    body = EDGE + '<g id="g17"><path id="path88" d="M0 100H900"/></g>'
    assert read(page(body), layers={"outline": ["edge"], "tracks": ["path88"]}).plan.tracks
    guessed = read(page(EDGE + '<path id="track" d="M0 100H900"/><g id="g17"/>'))
    assert len(guessed.plan.tracks) == 1
    assert "g17" not in guessed.notes["BW-READ-007"].says
    named = read(page('<g id="Rim">' + EDGE + "</g>"), layers={"outline": ["nothing"]}).problems
    assert "'Rim'" in named["BW-READ-008"].mend


def test_devices_and_turnouts_by_name(read: Any) -> None:
    body = (
        EDGE + '<g id="devices"><rect id="PM1" data-kind="servo" data-depth-mm="77" x="200" y="100"'
        ' width="40" height="20"/>'
        '<circle class="feed" id="F-2" cx="300" cy="200" r="3"/>'
        '<g id="Panel A" data-kind="panel"><rect x="600" y="300" width="100" height="50"/></g></g>'
        '<g id="turnouts"><g id="T7"><path d="M100 250h200"/><path d="M100 250l200 20"/></g></g>'
    )
    plan = read(page(body)).plan
    found = {d.id: (d.kind, d.x_mm, d.y_mm, d.depth_mm) for d in plan.devices}
    assert found == {
        "F-2": ("feed", 300, 300, 30),
        "PM1": ("servo", 220, 390, 77),
        "Panel A": ("panel", 650, 175, 60),
    }
    assert [t.id for t in plan.turnouts] == ["T7"]
    assert plan.turnouts[0].ring == ((100, 250), (300, 230), (300, 250))


def test_a_symbol_with_a_view_box(read: Any) -> None:
    """A symbol of 10 × 10 units shown 40 wide: factor 4. Its origin is the middle of its box."""
    body = (
        '<symbol id="servo" viewBox="-5 -5 10 10"><circle r="5"/></symbol>' + EDGE + '<g id="devices">'
        '<use href="#servo" id="S1" x="100" y="200" width="40" height="40"/></g>'
    )
    (device,) = read(page(body)).plan.devices
    assert (device.kind, device.x_mm, device.y_mm) == ("servo", 120, 280)


def test_a_clone_has_its_place_where_it_is_drawn(read: Any) -> None:
    body = EDGE + (
        '<g id="devices"><rect id="servo" x="100" y="100" width="20" height="20"/>'
        '<use href="#servo" id="use12" transform="translate(300 0)"/></g>'
    )
    assert sorted(d.x_mm for d in read(page(body)).plan.devices) == [110, 410]


@pytest.mark.parametrize(
    "how", ['display="none"', 'style="fill:red; display : none"', 'class="off"', 'visibility="hidden"']
)
def test_hidden_things_are_told(read: Any, how: str) -> None:
    body = (
        f'<style>.off, .other {{ display: none }}</style>{EDGE}<g id="track" {how}><path d="M0 50H900"/></g>'
    )
    case = read(page(body))
    assert "'track'" in case.notes["BW-READ-033"].says
    assert "BW-READ-033" not in read(page(body.replace(how, ""))).notes


def test_a_document_type_is_not_loaded_and_namespaces_may_have_a_prefix(read: Any) -> None:
    plain = page(EDGE).decode()
    typed = '<?xml version="1.0" encoding="ISO-8859-1"?><!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://nowhere.invalid/a.dtd">'
    assert size(read((typed + plain).encode("latin-1"))) == (1000, 500)
    prefixed = (
        plain.replace("xmlns=", "xmlns:s=")
        .replace("<svg", "<s:svg")
        .replace("</svg", "</s:svg")
        .replace("<rect", "<s:rect")
    )
    assert size(read(prefixed.encode())) == (1000, 500)
    assert size(read(plain.encode("utf-16"))) == (1000, 500)
    assert size(read(gzip.compress(plain.encode()))) == (1000, 500)


LAUGHS = "".join(f'<!ENTITY a{n + 1} "{f"&a{n};" * 10}">' for n in range(20))
REFUSED = [
    (f'<!DOCTYPE svg [<!ENTITY a0 "ha">{LAUGHS}]>'.encode() + page("<text>&a20;</text>"), "entities"),
    (b'<!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/hostname">]>' + page("<text>&x;</text>"), "entities"),
    (b'<!DOCTYPE svg [<!ENTITY % x SYSTEM "http://nowhere.invalid/"> %x;]>' + page(EDGE), "entities"),
    (page(EDGE + "<g>" * 5000 + "</g>" * 5000), "nested"),
    (page(EDGE)[:-8], "line 1"),
    (b"<html><body/></html>", "<html>"),
    (b"<?xml version='1.0' encoding='klingon'?><svg/>", "encoding"),
    (b"\x1f\x8b\x08 not packed", "damaged"),
    (gzip.compress(b"<svg>" + b" " * 400_000_000, 1), "larger"),
    (b"<", "line 1"),
]  # fmt: skip


@pytest.mark.parametrize(("data", "word"), REFUSED, ids=[f"{w}{n}" for n, (_, w) in enumerate(REFUSED)])
def test_refused(read: Any, data: bytes, word: str) -> None:
    problems = read(data).problems
    assert set(problems) == {"BW-READ-038"}
    assert word in problems["BW-READ-038"].says


def test_an_empty_page(read: Any) -> None:
    found = read(page("<text>station</text>")).problems["BW-READ-003"]
    assert "model space" not in found.says + found.mend


def test_uses_without_end(read: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(svg, "MOST_THINGS", 2_000)
    nest = "".join(f'<g id="n{n}">' + f'<use href="#n{n + 1}"/>' * 9 + "</g>" for n in range(9))
    body = f'{EDGE}<defs>{nest}<path id="n9" d="M0 0H9"/></defs><use href="#n0" class="track"/>'
    assert "BW-READ-020" in read(page(body)).problems
    for itself in (
        '<g id="a"><use href="#a"/></g>',
        '<g id="a"><use href="#b"/></g><g id="b"><use href="#a"/></g>',
    ):
        assert "itself" in read(page(EDGE + f'<g class="track">{itself}</g>')).notes["BW-READ-018"].says


@pytest.mark.parametrize(
    ("body", "word"),
    [
        ('<use class="track" href="other.svg#a"/>', "another file"),
        ('<use class="track" href="#gone"/>', "no '#gone'"),
        ('<path class="track" d="M0 50H900 Lx"/>', "character"),
        ('<path class="track" transform="rotate(1,2)" d="M0 50H900"/>', "rotate with 2"),
        ('<polyline class="track" points="1 1 x"/>', "not a number"),
        ('<path class="track" d="M0 0A1e-200 1e-200 0 0 1 1e-250 0"/>', "cannot be read"),
    ],
)
def test_one_thing_that_cannot_be_read_is_left_out_and_told(read: Any, body: str, word: str) -> None:
    case = read(page(EDGE + body))
    assert case.plan.outlines
    told = case.notes.get("BW-READ-018")
    assert told is None if word == "cannot be read" else word in told.says


@pytest.mark.parametrize("number", ["1e300", "1e999", "-1e12"])
def test_numbers_beyond_bounds(read: Any, number: str) -> None:
    for body in (
        f'<path class="track" d="M0 0L{number} 5"/>',
        f'<path class="track" d="M0 0C1 1 2 2 {number} 5"/>',
        f'<path class="track" d="M0 0A5 {number} 0 0 1 10 {number}"/>',
        f'<circle class="track" r="{number.strip("-")}"/>',
        f'<path class="track" transform="scale({number})" d="M1 1L5 5"/>',
    ):
        case = read(page(EDGE + body))
        assert "BW-READ-019" in case.problems or "BW-READ-018" in case.notes


def test_a_circle_with_a_telling_text_is_a_device(read: Any) -> None:
    body = """
    <rect id="edge" x="0" y="0" width="1000" height="500"/>
    <g id="devices"><circle cx="200" cy="100" r="5"/><text x="215" y="104">PM3 point motor</text>
    <g transform="translate(500 300)"><circle cx="0" cy="0" r="5"/>
    <text><tspan x="12" y="0">servo</tspan></text></g></g>"""
    motor, servo = sorted(read(page(body)).plan.devices, key=lambda d: d.x_mm)
    assert (motor.id, motor.kind, motor.x_mm, motor.y_mm) == ("PM3", "point_motor", 200, 400)  # y runs down
    assert (servo.kind, servo.x_mm, servo.y_mm) == ("servo", 500, 200)
