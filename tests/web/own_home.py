"""A home for each process that runs tests: a worker inherits its run's, and two would write in one folder."""

import atexit
import os
import shutil
import tempfile


def _remove(folder: str, made_by: int) -> None:
    if os.getpid() == made_by:  # not a copy of this process, which ends before it
        shutil.rmtree(folder, ignore_errors=True)


worker = os.environ.get("PYTEST_XDIST_WORKER", "")
run_home = os.environ.get("ROPEWRIGHT_HOME")
if run_home is None or os.environ.get("ROPEWRIGHT_TESTS_WORKER", "") != worker:
    home = tempfile.mkdtemp(
        prefix="ropewright-tests-", dir=run_home
    )  # the run removes its workers' with its own
    os.environ |= {"ROPEWRIGHT_HOME": home, "ROPEWRIGHT_TESTS_WORKER": worker}
    atexit.register(_remove, home, os.getpid())
