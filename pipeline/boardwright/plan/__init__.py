"""The track plan and its readers."""
