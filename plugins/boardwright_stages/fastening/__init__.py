"""The schedule of screws: pilots, countersinks, distances, glue."""
