"""Outside checks run where their packages were fetched to; elsewhere they are not collected.

`.ci/run` fetches the packages and names their folder in FARMRECORDS_OUTSIDE. With the name set
every check is mandatory: a package that is missing there is a failure, never a skip.
"""

import os
import sys
from pathlib import Path

FOLDER = os.environ.get("FARMRECORDS_OUTSIDE", "")
collect_ignore_glob = [] if FOLDER else ["test_fetched_*.py"]
if FOLDER:
    sys.path.append(str(Path(FOLDER) / "python"))
