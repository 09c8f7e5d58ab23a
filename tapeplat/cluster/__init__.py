"""The same jobs on other computers: a Dask cluster's workers in place of processes of this one."""
