"""Joints: the bolts and dowels that two boards share.

Read ``settings``, ``bores``, ``spans``, ``pattern``, ``mating``, ``stages``, ``advice``.
"""
