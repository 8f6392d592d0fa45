"""A batch on a dask cluster of two worker processes, of which one is killed when the first pack is back.

python on_cluster.py FOLDER: packs every project below it and prints what became of each.
"""

from __future__ import annotations

import os
import signal
import sys
from pathlib import Path

from distributed import LocalCluster

from boardwright.many.cluster import by_executor, scheduler
from boardwright.many.projects import as_they_stand, project_files


def main(folder: Path) -> None:
    with (
        LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None, silence_logs=50) as cluster,
        scheduler(cluster.scheduler_address) as executor,
    ):
        processes = [nanny.pid for nanny in cluster.workers.values()]
        for number, done in enumerate(by_executor(as_they_stand(project_files([folder])), executor)):
            print(done.project.label, done.project.status, done.how, flush=True)
            if number == 0:
                os.kill(processes[0], signal.SIGKILL)
                print("killed", flush=True)


if __name__ == "__main__":
    main(Path(sys.argv[1]))
