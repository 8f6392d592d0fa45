"""The engine: runs what changed, keeps what did not, loses nothing.

Reading order: ``keys`` (what decides), ``store`` (what is kept), ``asked`` (which settings a stage read),
``codeprint`` (what counts as a change of code), ``run`` (the walk), ``why`` and ``history`` (reasons),
``receipt`` (nothing changed at all).
"""
