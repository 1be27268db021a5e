"""Where jobs are done: in this process, in worker processes, on a Dask cluster.

All three do the same work with the same code and give the same results; only the faults that they
can end differ, and each says which.
"""
