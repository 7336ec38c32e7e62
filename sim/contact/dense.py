"""Cholesky's factor, triangular solutions and symmetric updates in place, on rows of arrays as they lie.

By the BLAS and LAPACK that SciPy offers to compiled code (`scipy.linalg.cython_blas`), called through its addresses:
numpy copies, fills both triangles or inverts where a triangle would do, and SciPy's own calls hold the interpreter, so
that nothing computes beside them. Of a symmetric matrix the upper triangle counts, and a factor is U in U' U.
"""

from __future__ import annotations

import ctypes
from collections.abc import Callable
from functools import cache
from typing import Any

import numpy as np
from scipy.linalg import LinAlgError, cython_blas, cython_lapack

from sim.base.arrays import Floats

_BLOCK = 64  # rows below which a triangle is solved as it stands


@cache
def _routine(module: Any, name: str, arguments: int) -> Callable[..., None]:
    """Return a routine of a library by its address; each argument is one, as Fortran has it."""
    capsule = module.__pyx_capi__[name]
    named, pointed = ctypes.pythonapi.PyCapsule_GetName, ctypes.pythonapi.PyCapsule_GetPointer
    named.restype, named.argtypes = ctypes.c_char_p, [ctypes.py_object]
    pointed.restype, pointed.argtypes = ctypes.c_void_p, [ctypes.py_object, ctypes.c_char_p]
    signature: bytes = named(capsule)
    if signature.count(b",") != arguments - 1 or b"int *" not in signature:
        raise ImportError(f"{name} of SciPy takes other arguments than are known here: {signature.decode()}")
    address: int = pointed(capsule, signature)
    # Called so, it lets go of the interpreter.
    return ctypes.CFUNCTYPE(None, *[ctypes.c_void_p] * arguments)(address)


def _at(array: Floats) -> tuple[int, Any]:
    """Return the address of an array (m, n) whose rows lie together, and by how much one row is after the other."""
    if array.dtype != np.float64 or array.ndim != 2 or (array.shape[1] > 1 and array.strides[1] != 8):
        raise ValueError("the rows of an array must be doubles that lie together")
    step = array.strides[0] // 8 if array.shape[0] > 1 else array.shape[1]
    if step < array.shape[1] or not array.flags.writeable:
        raise ValueError("the rows of an array must not overlap, and be free to write")
    address: int = array.__array_interface__["data"][0]  # a third of the time of `array.ctypes`
    return address, _whole(max(1, step))


def _whole(value: int) -> Any:
    return ctypes.byref(ctypes.c_int(value))


def _number(value: float) -> Any:
    return ctypes.byref(ctypes.c_double(value))


def factored(matrix: Floats) -> None:
    """Put the factor U of a matrix (n, n) into its upper triangle; what lies below is left as it is.

    Raises
    ------
    LinAlgError
        When the matrix is not positive definite.
    """
    if not matrix.size:
        return
    at, step = _at(matrix)
    failed = ctypes.c_int(0)
    _routine(cython_lapack, "dpotrf", 5)(b"L", _whole(len(matrix)), at, step, ctypes.byref(failed))
    if failed.value:
        raise LinAlgError("the matrix is not positive definite")


def solved_below(factor: Floats, right: Floats) -> None:
    """Put the solution of U' x = right into right (n, m), U from `factored`.

    By halves: the library's products are quicker than its triangles.
    """
    n = len(right)
    if factor.shape != (n, n):
        raise ValueError(f"the factor of {n} rows cannot be {factor.shape}")
    if n > _BLOCK:
        h = n // 2
        solved_below(factor[:h, :h], right[:h])
        less_product(right[h:], factor[:h, h:], right[:h])
        solved_below(factor[h:, h:], right[h:])
    elif right.size:
        (at, step), (of, along) = _at(factor), _at(right)
        sizes = (_whole(right.shape[1]), _whole(n))
        _routine(cython_blas, "dtrsm", 11)(b"R", b"L", b"T", b"N", *sizes, _number(1.0), at, step, of, along)


def less_product(matrix: Floats, one: Floats, other: Floats) -> None:
    """Take one' other, of rows (k, m) and (k, n), from a matrix (m, n)."""
    if matrix.shape != (one.shape[1], other.shape[1]) or len(one) != len(other):
        raise ValueError(f"the product of {one.shape} and {other.shape} cannot be {matrix.shape}")
    if matrix.size and one.size:
        (at, step), (of, along), (by, beside) = _at(matrix), _at(one), _at(other)
        sizes = (_whole(other.shape[1]), _whole(one.shape[1]), _whole(len(one)))
        given = (_number(-1.0), by, beside, of, along, _number(1.0), at, step)
        _routine(cython_blas, "dgemm", 13)(b"N", b"T", *sizes, *given)


def less_square(matrix: Floats, rows: Floats) -> None:
    """Take rows' rows, of rows (k, n), from the upper triangle of a matrix (n, n)."""
    if matrix.shape != (rows.shape[1], rows.shape[1]):
        raise ValueError(f"of rows of {rows.shape[1]} the square cannot be {matrix.shape}")
    if not rows.size:
        return
    (at, step), (of, along) = _at(matrix), _at(rows)
    sizes = (_whole(rows.shape[1]), _whole(len(rows)))
    _routine(cython_blas, "dsyrk", 10)(b"L", b"N", *sizes, _number(-1.0), of, along, _number(1.0), at, step)
