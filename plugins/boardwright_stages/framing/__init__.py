"""Framing: a box frame of straight members under any board. Read ``stages`` first."""
