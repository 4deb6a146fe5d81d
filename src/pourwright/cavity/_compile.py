"""How kernels are compiled: kept on disk between runs, lock released, division as in numpy.

``kernel`` marks what Python calls; ``inner`` what only kernels call, which needs no door to Python and no copy on disk.
"""

from numba import njit

kernel = njit(cache=True, nogil=True, error_model="numpy")
inner = njit(nogil=True, error_model="numpy", no_cpython_wrapper=True, no_cfunc_wrapper=True)
