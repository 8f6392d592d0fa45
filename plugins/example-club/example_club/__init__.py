"""The house rules of an invented club."""
