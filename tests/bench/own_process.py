"""Works timed in turn in a process of their own on one thread, by processor time.

seconds_of   called in that process: prints the seconds of each round
read         called by the test: starts the process and reads them
"""

import json
import os
import subprocess
import sys
import time
from collections.abc import Callable, Mapping

ONE_THREAD = dict.fromkeys(("OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "OMP_NUM_THREADS"), "1")


def seconds_of(works: Mapping[str, Callable[[], object]], rounds: int) -> None:
    """Print the seconds of each round of each work, after one untimed."""
    times: dict[str, list[float]] = {name: [] for name in works}
    for round_ in range(rounds + 1):
        for name, work in works.items():
            began = time.process_time()
            work()
            if round_:
                times[name].append(time.process_time() - began)
    print(json.dumps(times))


def read(file: str) -> dict[str, list[float]]:
    """What a file that calls ``seconds_of`` prints when it is run alone."""
    done = subprocess.run(
        [sys.executable, file], env=os.environ | ONE_THREAD, capture_output=True, text=True, check=True
    )
    return json.loads(done.stdout)
