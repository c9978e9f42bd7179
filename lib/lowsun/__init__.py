"""Optics of the low Sun: computed pictures for teaching and outreach."""

import os

__version__ = "0.1.0"

# The matrices of a picture are small: a second thread of the linear algebra library only waits for
# the first, and doubles the processor's work of every session. It reads this when numpy is loaded;
# whoever has set a number keeps it.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
