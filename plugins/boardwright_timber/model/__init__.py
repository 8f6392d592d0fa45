"""The nouns, one idea a file; import them from here."""

from .board import Board, BoardPlan, Crossing, Joint, Proof, SplitCost, Splitting
from .checks import CheckLine, CheckReport
from .cutting import Contour, Cut, CutPiece, CutSheet, CuttingPlan, Offcut, PlacedPart, Repeat, Unplaced
from .fastening import BoardFastening, FasteningLine
from .fixing import BoardFixings, EndPattern, Fixing, FixingKind, RailStrip, WallAnchor
from .frame import Bed, Bent, Diagonal, Frame, Joists, Kerf, Member, MemberRole, Panel, Sandwich, Splice
from .hardware import BoardHardware, HardwareLine, WireHardware
from .money import Cost, CostChoice, CostLine, CostShare, TimeLine
from .nested import Nested
from .part import BoardParts, Face, Grain, Hole, HoleKind, Mark, MarkKind, Part, Placement
from .routing import RouteStep, Routing
from .sizing import BoardSizing, FrameSize, Strip, TriedStrip
from .space import BoardMovement, BoardSpace, LayoutMovement, LayoutSpace
from .stand import BoardStand, Leg, LegRail
from .steps import BoardSteps, SeenBody, SeenFace, Step, StepKind, StepLine, StepUse, Tie, Tone
from .strength import BoardStrength, Standing, StandingGroup, StrengthLine, SupportPoint
from .views import BoardViews, SeenLine, SeenName
from .wires import HoleLoad, JointPlug, Pin, WireKind, WireLeg, WireRun, WireSchedule, WireTotal
from .wiring import BoardDemand, BoardWiring, JointDemand, Stretch, WireDemand, WireHole

__all__ = [
    "Bed",
    "Bent",
    "Board",
    "BoardDemand",
    "BoardFastening",
    "BoardFixings",
    "BoardHardware",
    "BoardMovement",
    "BoardParts",
    "BoardPlan",
    "BoardSizing",
    "BoardSpace",
    "BoardStand",
    "BoardSteps",
    "BoardStrength",
    "BoardViews",
    "BoardWiring",
    "CheckLine",
    "CheckReport",
    "Contour",
    "Cost",
    "CostChoice",
    "CostLine",
    "CostShare",
    "Crossing",
    "Cut",
    "CutPiece",
    "CutSheet",
    "CuttingPlan",
    "Diagonal",
    "EndPattern",
    "Face",
    "FasteningLine",
    "Fixing",
    "FixingKind",
    "Frame",
    "FrameSize",
    "Grain",
    "HardwareLine",
    "Hole",
    "HoleKind",
    "HoleLoad",
    "Joint",
    "JointDemand",
    "JointPlug",
    "Joists",
    "Kerf",
    "LayoutMovement",
    "LayoutSpace",
    "Leg",
    "LegRail",
    "Mark",
    "MarkKind",
    "Member",
    "MemberRole",
    "Nested",
    "Offcut",
    "Panel",
    "Part",
    "Pin",
    "PlacedPart",
    "Placement",
    "Proof",
    "RailStrip",
    "Repeat",
    "RouteStep",
    "Routing",
    "Sandwich",
    "SeenBody",
    "SeenFace",
    "SeenLine",
    "SeenName",
    "Splice",
    "SplitCost",
    "Splitting",
    "Standing",
    "StandingGroup",
    "Step",
    "StepKind",
    "StepLine",
    "StepUse",
    "StrengthLine",
    "Stretch",
    "Strip",
    "SupportPoint",
    "Tie",
    "TimeLine",
    "Tone",
    "TriedStrip",
    "Unplaced",
    "WallAnchor",
    "WireDemand",
    "WireHardware",
    "WireHole",
    "WireKind",
    "WireLeg",
    "WireRun",
    "WireSchedule",
    "WireTotal",
]
