"""Checks: parts put together again and measured. Read ``reassembly``, ``geometry``, ``stages``."""
