"""Joints: the bolts and dowels that two boards share.

Read ``settings``, ``spans``, ``pattern``, ``mating``, ``stages``.
"""
