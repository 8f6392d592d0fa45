"""Posts of an upper board on the frame of a lower one: places by hand, loads by statics and superposition."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from msgspec.structs import replace

from boardwright import Notes, Severity
from boardwright.plan.model import Device, Track
from boardwright_stages.framing.settings import FramingSettings
from boardwright_stages.hardware.legs import stand
from boardwright_stages.hardware.settings import HardwareSettings
from boardwright_stages.hardware.supporting import support_lines
from boardwright_stages.parts.stages import parts
from boardwright_stages.strength.levels import board_supports
from boardwright_stages.strength.loaded import bending, loaded
from boardwright_stages.strength.net import Place
from boardwright_stages.strength.posts import _beside_joints, board_posts, posts
from boardwright_stages.strength.pressing import pressed
from boardwright_stages.strength.settings import LevelSupports, StrengthSettings, SupportSettings
from boardwright_stages.strength.stages import standing, strength
from boardwright_stages.strength.sums import frame_figures
from boardwright_stages.strength.tipping import joined
from boardwright_timber.model import BoardFixings, BoardPlan, BoardWiring, Borne, Joint, Post, Posts

UPPER_MM, TOP_MM = 300.0, 600.0
LEVELS = tuple(LevelSupports(level_mm=at, kind="posts") for at in (UPPER_MM, TOP_MM))
SETTINGS = SupportSettings(levels=LEVELS)
SCREWS = HardwareSettings()


class Layout:
    """A lower box 1000 × 500 with joists whose middles stand at 300 and 650, and boxes 1000 × 250 above its
    rear half, with joists there of their own."""

    def __init__(
        self, boxes: Any, names: str = "AB", tracks: tuple[Track, ...] = (), devices: tuple[Device, ...] = ()
    ) -> None:
        self.boards, self.frames, self.joists, self.parts, self.plans = {}, {}, {}, {}, {}
        for name, level in zip(names, (0.0, UPPER_MM, TOP_MM), strict=False):
            y = 250 if level else 0
            made = boxes.box(name, ((0, y), (1000, y), (1000, 500), (0, 500)), (), (300.0, 650.0))
            board = replace(made.board, level_mm=level)
            plan = BoardPlan(board=name, scale_ratio=87.0)
            if not level:
                plan = replace(plan, tracks=tracks, devices=devices)
            self.boards[name], self.frames[name], self.joists[name] = board, made.frame, made.joists
            self.plans[name] = plan
            nothing = BoardFixings(board=name), BoardWiring(board=name)
            self.parts[name] = parts(
                board, plan, made.frame, made.joists, *nothing, FramingSettings(), Notes()
            )
        self.levels = {n: board_supports(b, SETTINGS) for n, b in self.boards.items()}
        self.notes = Notes()
        self.posts = posts(
            self.boards,
            self.plans,
            self.frames,
            self.joists,
            self.parts,
            StrengthSettings(),
            SETTINGS,
            self.notes,
            self.levels,
        )

    def strength(self, name: str) -> Any:
        return strength(
            self.boards[name],
            self.frames[name],
            self.joists[name],
            self.parts[name],
            StrengthSettings(),
            SETTINGS,
            Notes(),
            SCREWS,
            self.levels[name],
            board_posts(self.boards[name], self.posts),
        )

    def weight_n(self, name: str) -> float:
        """Wood and 10 kg/m² on its deck of 1000 × 250 (the lower: 500)."""
        square_m = 0.5 if name == "A" else 0.25
        return (self.parts[name].mass_kg + 10 * square_m) * 9.81


def spots(found: Posts, name: str) -> list[tuple[str, float, float]]:
    return [(p.on_member[2:], p.on_x_mm, p.on_y_mm) for p in found.under[name]]


def test_posts_stand_over_joists_and_sides(boxes: Any) -> None:
    """Legs would stand at 220 and 780 of 1000. Under the rear side, flush above the lower one, they do. Below
    the front side, at 250 + 6, only the joists cross it, 12 thick at 300 and 650: a post 44 wide stands over
    the whole thickness with its middle within (44 - 12) / 2 = 16 of theirs, 285 from 220 and 665 from 780; it
    is moved right over them. They stand on the deck, 9 above the lower level."""
    made = Layout(boxes)
    joists = [m.id[2:] for m in made.joists["A"].members]
    sides = [m for m in made.frames["A"].members if m.outer_start[1] == m.outer_end[1] == 500.0]
    rear = sides[0].id[2:]
    assert spots(made.posts, "B") == [
        (joists[0], 300.0, 256.0),
        (rear, 220.0, 494.0),
        (joists[1], 650.0, 256.0),
        (rear, 780.0, 494.0),
    ]
    assert {p.stands_mm for p in made.posts.under["B"]} == {9.0}
    assert {p.bears_mm2 for p in made.posts.under["B"]} == {44.0 * 12.0}
    (told,) = made.notes.findings
    assert (told.code, told.severity) == ("BW-STR-018", Severity.NOTE)
    assert "4 posts on the frame of A" in told.says


def test_no_post_stands_on_a_track_or_a_device(boxes: Any) -> None:
    """The front posts reach to 256 - 22 = 234: a track along y = 204 is 30 from that and leaves them, one at
    205 is not, and nothing else crosses the front side: both are told. A device 40 square under the place at
    220 of the rear side: clear of it are 178 and less, 262 and more; in steps of 5 that is 175 or 265."""

    def along(y: float) -> tuple[Track, ...]:
        return (Track(id="T", points=((0.0, y), (1000.0, y))),)

    assert len(Layout(boxes, tracks=along(204.0)).posts.under["B"]) == 4
    lost = Layout(boxes, tracks=along(205.0))
    assert [p.on_y_mm for p in lost.posts.under["B"]] == [494.0, 494.0]
    assert [(f.code, f.severity) for f in lost.notes.findings] == [
        ("BW-STR-017", Severity.CAUTION),
        ("BW-STR-018", Severity.NOTE),
    ]
    assert lost.notes.findings[0].says.startswith(
        "2 of the posts of board B find no place, the first near x 220"
    )
    assert lost.strength("B").lines == ()  # on two posts along one edge it does not rest
    device = Device(
        id="D",
        kind="lamp",
        x_mm=220.0,
        y_mm=490.0,
        length_mm=40.0,
        width_mm=40.0,
        depth_mm=0.0,
        clearance_mm=0.0,
    )
    moved = Layout(boxes, devices=(device,)).posts.under["B"][1]
    assert moved.x_mm in (175.0, 265.0)


def test_what_posts_lay_on_the_frame_is_all_that_stands_above(boxes: Any) -> None:
    """Statics: what lasts adds up to the upper board's weight, each hand to 200 N. Of three levels the lowest
    bears both upper ones, and its legs everything."""
    made = Layout(boxes, "ABC")
    (on_b,) = made.posts.borne["B"]
    (on_a,) = made.posts.borne["A"]
    assert (on_b.board, on_a.board) == ("C", "B")
    assert sum(on_b.lasting_n) == pytest.approx(made.weight_n("C"), rel=1e-4)
    assert sum(on_a.lasting_n) == pytest.approx(made.weight_n("B") + made.weight_n("C"), rel=1e-4)
    for case in (*on_b.hands_n, *on_a.hands_n):
        assert sum(case) == pytest.approx(200.0, abs=0.01)
    # hands on B itself and on C above it
    assert len(on_a.hands_n) > len(on_b.hands_n)
    legs = made.strength("A")
    assert legs.support == "legs"
    alone = sum(made.weight_n(n) for n in "ABC")
    hand = sum(p.load_n for p in legs.points) - alone
    assert 200.0 < hand <= 4 * 2 * 200.0  # each leg's worst hand
    assert [p.on for p in made.strength("B").points] == ["A"] * 4


def test_a_lower_frame_gives_as_if_the_hand_were_on_the_post_itself(boxes: Any) -> None:
    """Superposition: 200 N that last on a post sag its place by what a hand of 200 N there does, and a hand
    above that comes down one post alone is that hand."""
    made = Layout(boxes)
    joist = made.joists["A"].members[0]
    post = Post(
        id="B-P1",
        member="B-S1",
        x_mm=300.0,
        y_mm=6.0,
        on="A",
        on_member=joist.id,
        on_x_mm=300.0,
        on_y_mm=256.0,
        stands_mm=9.0,
        bears_mm2=528.0,
    )
    lays = Borne(board="B", posts=(post,), lasting_n=(200.0,), hands_n=((200.0,), (-50.0,)))
    members = bending(made.frames["A"], made.joists["A"])
    under = [Place(i, s) for i, m in enumerate(members) if m.role == "side" for s in (220.0, 780.0)]
    board = (made.boards["A"], made.frames["A"], made.joists["A"], made.parts["A"])
    held = loaded(*board, StrengthSettings(), SCREWS, under, [lays])
    nodes = [held.net.node_of[p] for p in under]
    own = frame_figures(held.net, members, nodes, held.lasting, StrengthSettings(), held.hands)
    both = frame_figures(held.net, members, nodes, held.whole, StrengthSettings(), held.hands)
    at = int(np.argmax(held.whole - held.lasting))
    assert held.net.points[at] == pytest.approx((300.0, 256.0), abs=0.01)
    assert both.sags[:, 0] - own.sags[:, 0] == pytest.approx(own.sags[:, 1 + at], abs=1e-9)
    count = len(held.net.points)
    assert own.sags[:, 1 + count] == pytest.approx(own.sags[:, 1 + at], abs=1e-9)
    assert own.sags[:, 2 + count] == pytest.approx(-own.sags[:, 1 + at] / 4, abs=1e-9)
    assert both.bending.value > own.bending.value
    assert both.hand.value >= own.hand.value


def test_wood_under_a_post_by_hand() -> None:
    """20 N last, a hand leaves 180: 1.35 × 20 + 1.5 × 180 = 297 N over 44 × 12 = 528 mm² of softwood, which
    bears 2.5 × 0.9 / 1.3 N each, 913.8 N: 32.5 %. Without a hand 27 N over 528 × 2.5 × 0.6 / 1.3."""
    post = Post(
        id="B-P1",
        member="B-S1",
        x_mm=0.0,
        y_mm=0.0,
        on="A",
        on_member="A-J1",
        on_x_mm=0.0,
        on_y_mm=0.0,
        stands_mm=9.0,
        bears_mm2=528.0,
    )
    lays = Borne(board="B", posts=(post,), lasting_n=(20.0,), hands_n=((180.0,), (-60.0,)))
    found = pressed([lays], {"A-J1": "softwood"}, StrengthSettings())
    assert found is not None
    assert found[0] == pytest.approx(297 / (528 * 2.5 * 0.9 / 1.3))
    alone = pressed([replace(lays, hands_n=())], {"A-J1": "softwood"}, StrengthSettings())
    assert alone is not None
    assert alone[0] == pytest.approx(27 / (528 * 2.5 * 0.6 / 1.3))
    assert pressed([], {}, StrengthSettings()) is None


def test_posts_are_sawn_and_held_at_both_ends(boxes: Any) -> None:
    """300 - 90 of the upper frame - 9 of the lower deck = 201; four of them, four angles each, four screws an
    angle; no foot, no rail. The lower board's legs are what they were: 1000 - 90 - 25, and 70 up beside
    the frame."""
    made = Layout(boxes)
    for name, lengths in (("A", [955.0] * 4), ("B", [201.0] * 4)):
        told, own = made.strength(name), board_posts(made.boards[name], made.posts)
        built = (made.boards[name], made.frames[name], made.joists[name], told)
        stood = stand(*built, SETTINGS, made.levels[name], own)
        assert [leg.length_mm for leg in stood.legs] == lengths
        assert len(stood.rails) == (2 if name == "A" else 0)
        assert {leg.on for leg in stood.legs} == {"" if name == "A" else "A"}
        lines = support_lines(*built, (), made.levels[name].over(SETTINGS), Notes(), own)
        count = {line.item: line.quantity for line in lines}
        assert count.get("leg-angle-40", 0) == (0 if name == "A" else 16)
        assert count.get("screw-3.5x16", 0) == (0 if name == "A" else 64)
        assert count["leg-timber-44"] == sum(lengths) + sum(r.length_mm for r in stood.rails)
        assert count.get("adjustable-foot", 0) == (4 if name == "A" else 0)


def test_a_board_on_posts_tips_with_the_one_below(boxes: Any) -> None:
    """One body on the lower board's legs: its height is the upper deck's, its mass that of both."""
    made = Layout(boxes)
    found = {n: made.strength(n) for n in "AB"}
    assert joined(made.boards, found) == [("A", "B")]
    assert joined(made.boards) == [("A",), ("B",)]
    (group,) = standing(
        made.boards, found, made.parts, StrengthSettings(), SETTINGS, Notes(), made.levels
    ).groups
    assert group.height_mm == 1000 + UPPER_MM
    assert group.mass_kg == pytest.approx(made.parts["A"].mass_kg + made.parts["B"].mass_kg)


def test_posts_beside_a_joint_are_named(boxes: Any) -> None:
    """Legs of the rule stand 220 from the end of 1000: the rear post at 780 is as far from a joint there, and
    170 from one at 950, the front one at 650 farther; where a board lifts out there are no bolts."""
    made = Layout(boxes)
    lower = made.boards["A"]
    for x, free, named in ((1000.0, False, []), (950.0, False, ["B-P4 170 mm from J"]), (950.0, True, [])):
        joint = Joint(id="J", boards=("A", "Z"), start=(x, 0.0), end=(x, 500.0), lift_out=free)
        on = replace(lower, joints=(joint,))
        found = [s for p in made.posts.under["B"] for s in _beside_joints(p, on, 0.22)]
        assert found == named


def test_without_posts_nothing_is_looked_for(boxes: Any) -> None:
    made = Layout(boxes)
    plain = posts(
        made.boards,
        made.plans,
        made.frames,
        made.joists,
        made.parts,
        StrengthSettings(),
        SupportSettings(),
        Notes(),
    )
    assert plain == Posts()
    assert not board_posts(made.boards["B"], plain).placed
