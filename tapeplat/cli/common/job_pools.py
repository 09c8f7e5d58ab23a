"""`--cluster`: where jobs are done, in processes of this computer or by a cluster's workers."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager, nullcontext
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from tapeplat.workers.carrying import Pools


def cluster_option(function: Callable[..., Any]) -> Callable[..., Any]:
    """The option of every command that does the same to many models."""
    said = "Do it on a Dask cluster, such as tcp://10.0.0.5:8786, not on this computer alone."
    return click.option("--cluster", metavar="ADDRESS", help=said)(function)


@contextmanager
def pools_of(jobs: int | None, cluster: str | None) -> Iterator[Pools]:
    """What makes pools: processes of this computer, or a cluster's workers, which are one pool for all of a run.

    Raises InputMistakes where the cluster cannot be used.
    """
    if cluster is None:
        from tapeplat.classroom.class_run import cores
        from tapeplat.workers.worker_pool import WorkerPool

        yield lambda many: WorkerPool(min(jobs or cores(), many))
        return
    with _cluster_pool()(cluster, most=jobs) as pool:
        yield lambda _many: nullcontext(pool)


def _cluster_pool() -> Any:
    """The class. Raises InputMistakes where what it needs is not installed."""
    from measure.errors import InputMistakes, Mistake

    try:
        from tapeplat.cluster.cluster_pool import ClusterPool
    except ModuleNotFoundError as missing:
        do = "install it with pip install '.[cluster]' in the folder of this program"
        raise InputMistakes([Mistake("--cluster", f"{missing.name} is not installed", do)]) from None
    return ClusterPool
