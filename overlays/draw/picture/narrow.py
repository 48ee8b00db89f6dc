"""16-bit integer arithmetic for kernels.

Numba widens every integer sum and product to 64 bits, which fills a vector register with a quarter
of the pixels. These intrinsics stay at 16 bits, wrapping as the machine does; callers choose their
scales so that nothing wraps (see `overlays.draw.picture.mixing`).
"""

from collections.abc import Callable
from typing import Any, TypeAlias

from llvmlite import ir  # type: ignore[import-untyped]
from numba import types
from numba.extending import intrinsic

_I16, _I32 = ir.IntType(16), ir.IntType(32)

Generated: TypeAlias = tuple[Any, Callable[..., Any]]
"""What numba asks of an intrinsic: the signature, and the function that writes its code."""


def _in_kernels(write: Callable[..., Generated]) -> Any:  # noqa: ANN401
    """An intrinsic, typed as what it is for its callers: anything numba can compile."""
    return intrinsic(write)


def _binary(write: Callable[[Any, Any, Any], Any]) -> Generated:
    def code(_context: Any, builder: Any, _signature: Any, given: Any) -> Any:  # noqa: ANN401
        return write(builder, given[0], given[1])

    return types.int16(types.int16, types.int16), code


@_in_kernels
def add(_typing: Any, _a: Any, _b: Any) -> Generated:  # noqa: ANN401
    """``a + b``."""
    return _binary(lambda builder, a, b: builder.add(a, b))


@_in_kernels
def subtract(_typing: Any, _a: Any, _b: Any) -> Generated:  # noqa: ANN401
    """``a - b``."""
    return _binary(lambda builder, a, b: builder.sub(a, b))


@_in_kernels
def multiply(_typing: Any, _a: Any, _b: Any) -> Generated:  # noqa: ANN401
    """``a * b``, its lower 16 bits."""
    return _binary(lambda builder, a, b: builder.mul(a, b))


@_in_kernels
def multiply_high(_typing: Any, _a: Any, _b: Any) -> Generated:  # noqa: ANN401
    """``floor(a * b / 65536)``."""

    def write(builder: Any, a: Any, b: Any) -> Any:  # noqa: ANN401
        product = builder.mul(builder.sext(a, _I32), builder.sext(b, _I32))
        return builder.trunc(builder.lshr(product, ir.Constant(_I32, 16)), _I16)

    return _binary(write)


@_in_kernels
def shift_left(_typing: Any, _a: Any, _count: Any) -> Generated:  # noqa: ANN401
    """``a << count`` for a count of 0 to 15."""
    return _binary(
        lambda builder, a, count: builder.shl(a, builder.and_(count, ir.Constant(_I16, 15)))
    )


@_in_kernels
def shift_right(_typing: Any, _a: Any, _count: Any) -> Generated:  # noqa: ANN401
    """``floor(a / 2**count)`` for a count of 0 to 15."""
    return _binary(
        lambda builder, a, count: builder.ashr(a, builder.and_(count, ir.Constant(_I16, 15)))
    )


@_in_kernels
def bounded(_typing: Any, _a: Any, _low: Any, _high: Any) -> Generated:  # noqa: ANN401
    """`a`, not below `low` and not above `high`."""

    def code(_context: Any, builder: Any, _signature: Any, given: Any) -> Any:  # noqa: ANN401
        number, low, high = given
        raised = builder.select(builder.icmp_signed("<", number, low), low, number)
        return builder.select(builder.icmp_signed(">", raised, high), high, raised)

    return types.int16(types.int16, types.int16, types.int16), code


@_in_kernels
def smaller(_typing: Any, _a: Any, _b: Any) -> Generated:  # noqa: ANN401
    """The smaller of two."""
    return _binary(lambda builder, a, b: builder.select(builder.icmp_signed("<", a, b), a, b))


@_in_kernels
def larger(_typing: Any, _a: Any, _b: Any) -> Generated:  # noqa: ANN401
    """The larger of two."""
    return _binary(lambda builder, a, b: builder.select(builder.icmp_signed(">", a, b), a, b))


@_in_kernels
def pixel(_typing: Any, _red: Any, _green: Any, _blue: Any) -> Generated:  # noqa: ANN401
    """0x00RRGGBB of three numbers of 0..255."""

    def code(_context: Any, builder: Any, _signature: Any, given: Any) -> Any:  # noqa: ANN401
        red, green, blue = given
        lower = builder.or_(builder.shl(green, ir.Constant(_I16, 8)), blue)
        upper = builder.shl(builder.zext(red, _I32), ir.Constant(_I32, 16))
        return builder.or_(upper, builder.zext(lower, _I32))

    return types.uint32(types.int16, types.int16, types.int16), code


@_in_kernels
def lane(_typing: Any, word: Any, _shift: Any, _mask: Any) -> Generated:  # noqa: ANN401
    """``(word >> shift) & mask`` of a word of 8, 16 or 32 bits, as 16 bits."""
    width = word.bitwidth

    def code(_context: Any, builder: Any, _signature: Any, given: Any) -> Any:  # noqa: ANN401
        stored, shift, mask = given
        if width == 8:
            return builder.and_(builder.lshr(builder.zext(stored, _I16), shift), mask)
        if width == 16:
            return builder.and_(builder.lshr(stored, shift), mask)
        moved = builder.lshr(stored, builder.zext(shift, _I32))
        return builder.and_(builder.trunc(moved, _I16), mask)

    return types.int16(word, types.int16, types.int16), code
