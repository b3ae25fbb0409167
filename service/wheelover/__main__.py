"""``python -m wheelover``: the same as the ``wheelover`` command."""

import sys

from wheelover.cli import main

sys.exit(main())
