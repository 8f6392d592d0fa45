"""``python -m boardwright``."""

import sys

from .cli import main

sys.exit(main())
