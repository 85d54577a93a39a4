"""`python -m slingwright`: the command line."""

from __future__ import annotations

import sys

from slingwright.commands.line import main

if __name__ == "__main__":
    sys.exit(main())
