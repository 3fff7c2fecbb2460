"""`python -m ropewright.cli`: the same as the command `ropewright`."""

import sys

from ropewright.cli import main

sys.exit(main())
