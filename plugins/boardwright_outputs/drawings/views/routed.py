"""What a router does on a sheet: the cutter's paths, lead-ins, bridges, reliefs and the order."""

from __future__ import annotations

from boardwright.display import IN_MM, DisplaySettings
from boardwright_timber.model import Routing

from ..drawing import Role
from ..pen import Pen


def draw_paths(pen: Pen, routing: Routing) -> None:
    for step in routing.steps:
        if step.kind == "helix" or step.kind == "drill":
            continue  # its circle is the finished hole
        pen.run(Role.TOOL_PATH, step.path, closed=step.kind != "slot")
        for x, y in step.relief:
            pen.circle(Role.RELIEF, (x, y), routing.tool_mm / 2)
        if step.lead is not None:
            pen.line(Role.LEAD_IN, step.lead, step.path[0])
        for a, b in step.tabs:
            pen.line(Role.TAB, a, b)


def number_paths(pen: Pen, routing: Routing) -> None:
    """Openings, slots and outlines by their step; the holes before them are in the list."""
    for step in routing.steps:
        if step.kind in ("opening", "outline"):
            pen.label_inside(str(step.step), step.path, height_mm=0.6 * pen.text_mm, role=Role.TOOL_PATH)
        elif step.kind == "slot":
            pen.label_beside(str(step.step), step.at, height_mm=0.6 * pen.text_mm, role=Role.TOOL_PATH)


def router_words(routing: Routing, edge_mm: float, show: DisplaySettings = IN_MM) -> tuple[str, ...]:
    tabs = f"Bridges {show.length(routing.tab_mm)} long, {show.length(routing.tab_height_mm)} thick. "
    return (
        "Numbers: steps of the router in order; all holes come before them, inside before outside.",
        f"Cutter {show.length(routing.tool_mm)}; its path is drawn. {tabs if routing.tab_mm else ''}"
        f"Parts {show.length(routing.gap_mm)} apart, {show.length(edge_mm)} from the edges.",
    )
