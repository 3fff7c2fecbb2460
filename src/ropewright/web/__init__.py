"""The team's web app: thin over the packages that work rigs out. Nothing above it imports it but `cli`."""

import os

for _name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
    # A rig's matrices are too small to be shared out, and several answers are worked out at once. It counts
    # only before the first array.
    os.environ.setdefault(_name, "1")
