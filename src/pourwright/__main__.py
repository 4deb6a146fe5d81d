"""``python -m pourwright``: the command line where its script is not on the path."""

import sys

from pourwright.cli import main

if __name__ == "__main__":
    sys.exit(main())
