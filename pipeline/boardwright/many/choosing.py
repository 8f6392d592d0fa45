"""Comparing constructions: which are beaten, and what each step costs and buys.

Claim: a construction is *best* when it is sound and no other sound one is as good in every figure that counts
and better in one; figures are compared as they are shown, so that what nobody can see decides nothing. A
figure that could not be worked out is worse than any other. A step's words cover every pair of constructions
that differ in nothing else.

What this does not know: what a kilogram is worth in money. That is for the builder.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Any

from msgspec.structs import replace

from ..figures import Figure
from .model import Construction, Step, Varied


def counts(constructions: Iterable[Construction]) -> tuple[str, ...]:
    """Keys of the figures that count, in the order they are shown."""
    return tuple(dict.fromkeys(f.key for c in constructions for f in c.figures if f.less_is_better))


def marked(constructions: Sequence[Construction], keys: tuple[str, ...]) -> tuple[Construction, ...]:
    """The constructions, the best marked, every other sound one with the first that beats it."""
    worth = {c.number: _worth(c, keys) for c in constructions if c.sound}
    answer = []
    for c in constructions:
        if not c.sound:
            answer.append(c)
            continue
        own = worth[c.number]
        better = next((n for n, other in worth.items() if _beats(other, own)), None)
        answer.append(replace(c, best=better is None, beaten_by=better))
    return tuple(answer)


def _worth(c: Construction, keys: tuple[str, ...]) -> tuple[float, ...]:
    found = (c.figure(key) for key in keys)
    return tuple(
        round(f.value, f.digits) if f is not None and f.value is not None else math.inf for f in found
    )


def _beats(other: tuple[float, ...], own: tuple[float, ...]) -> bool:
    return other != own and all(o <= s for o, s in zip(other, own, strict=True))


def steps(
    varied: Sequence[Varied], constructions: Sequence[Construction], keys: tuple[str, ...]
) -> tuple[Step, ...]:
    """Each step of each thing varied, over all pairs alike in all else."""
    by_settings = {_key(dict(c.settings)): c for c in constructions if c.number}
    found = []
    for v in varied:
        for old, new in zip(v.rows, v.rows[1:], strict=False):
            pairs = []
            for c in constructions:
                here = dict(c.settings)
                if c.number and all(here[k] == value for k, value in zip(v.keys, old, strict=True)):
                    there = here | dict(zip(v.keys, new, strict=True))
                    pairs.append((c, by_settings[_key(there)]))
            found.append(_step(v.keys, old, new, pairs, keys))
    return tuple(found)


def _key(settings: dict[str, Any]) -> str:
    return repr(sorted(settings.items()))


def _step(
    names: tuple[str, ...],
    old: tuple[Any, ...],
    new: tuple[Any, ...],
    pairs: list[tuple[Construction, Construction]],
    keys: tuple[str, ...],
) -> Step:
    costs, buys, either = [], [], []
    for key in keys:
        both = [(a.figure(key), b.figure(key)) for a, b in pairs]
        known = [
            (a, round(round(b.value, b.digits) - round(a.value, a.digits), 9))
            for a, b in both
            if a is not None and b is not None and a.value is not None and b.value is not None
        ]
        if not known:
            continue
        low, high = min(d for _, d in known), max(d for _, d in known)
        figure = known[0][0]
        if low < 0 < high:
            either.append(f"{_amount(figure, -low)} {figure.less} to {_amount(figure, high)} {figure.more}")
        elif high > 0:
            costs.append(f"{_span(figure, low, high)} {figure.more}")
        elif low < 0:
            buys.append(f"{_span(figure, -high, -low)} {figure.less}")
    mends = sum(not a.sound and b.sound for a, b in pairs)
    breaks = sum(a.sound and not b.sound for a, b in pairs)
    step = Step(
        keys=names,
        old=old,
        new=new,
        pairs=len(pairs),
        costs=tuple(costs),
        buys=tuple(buys),
        either=tuple(either),
        mends=mends,
        breaks=breaks,
        says="",
    )
    return replace(step, says=_says(step))


def _amount(figure: Figure, value: float) -> str:
    return f"{figure.amount(value)} {figure.unit}".strip()


def _span(figure: Figure, low: float, high: float) -> str:
    """``8.20 to 12.40 EUR``; one amount when it is always the same."""
    if figure.amount(low) == figure.amount(high):
        return _amount(figure, high)
    return f"{figure.amount(low)} to {_amount(figure, high)}"


def _says(step: Step) -> str:
    old, new = (" + ".join(map(shown, values)) for values in (step.old, step.new))
    said = [f"costs: {', '.join(step.costs)}"] if step.costs else []
    said += [f"buys: {', '.join(step.buys)}"] if step.buys else []
    said += [f"one way or the other: {', '.join(step.either)}"] if step.either else []
    said += [f"mends the faults of {step.mends}"] if step.mends else []
    said += [f"brings faults to {step.breaks}"] if step.breaks else []
    words = "; ".join(said) or "changes nothing that counts"
    return f"{' + '.join(step.keys)} from {old} to {new}: {words}."


def shown(value: Any) -> str:
    """A setting's value as people read it."""
    if isinstance(value, bool):
        return "true" if value else "false"
    return f"{value:g}" if isinstance(value, float) else str(value)
