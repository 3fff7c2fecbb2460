"""A home for each process that runs tests: a worker inherits its run's, and two would write in one folder."""

import atexit
import os
import shutil
import tempfile

worker = os.environ.get("PYTEST_XDIST_WORKER", "")
run_home = os.environ.get("ROPEWRIGHT_HOME")
if run_home is None or os.environ.get("ROPEWRIGHT_TESTS_WORKER", "") != worker:
    home = tempfile.mkdtemp(
        prefix="ropewright-tests-", dir=run_home
    )  # the run removes its workers' with its own
    os.environ |= {"ROPEWRIGHT_HOME": home, "ROPEWRIGHT_TESTS_WORKER": worker}
    atexit.register(shutil.rmtree, home, ignore_errors=True)
