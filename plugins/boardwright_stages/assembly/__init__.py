"""Assembly: in which order a board's parts are put together, what holds each, and how every step looks."""
