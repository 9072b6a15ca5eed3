#!/usr/bin/env python3
"""The one way in: python3 manage.py demo, serve, test, or any command of the shop. Needs nothing but Python itself."""

import sys

# This file keeps to words that Python 3.8 can read, so that an older Python meets the sentence below, not a traceback.
OLDEST = (3, 11)

if __name__ == "__main__":
    if sys.version_info < OLDEST:
        sys.stderr.write(
            "This program needs Python %d.%d or newer; you have %d.%d. " % (OLDEST + sys.version_info[:2])
            + "Install a newer Python, then start it by its number, for example: python3.12 manage.py demo\n"
        )
        sys.exit(2)
    from soapshop.bootstrap.start import main

    sys.exit(main(sys.argv))
