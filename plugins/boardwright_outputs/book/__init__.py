"""The build book: one page, ``index.html``, to read from screen or paper while building."""
