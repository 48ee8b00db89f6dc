"""The projection's parsers, on kept output of LLVM's programs; the programs themselves if there."""

import ctypes

import llvmlite.binding as ll
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.bench.board_blocks import Block, Walk, blocks_of, costs_of, mca_program, told, walks
from tests.bench.board_code import AARCH64, counted
from tests.bench.board_memory import BOARDS, _chained, _missed

# What LLVM 22.1.0 printed of `COUNTING` for cortex-a72, and llvm-mca 19.1.7 of two walks in it.
A72 = """\
\t.globl\tkernel                          // -- Begin function kernel
\t.p2align\t4
\t.type\tkernel,@function
kernel:                                 // @kernel
\t.cfi_startproc
// %bb.0:                               // %entry
\tcbz\tx2, .LBB0_5
// %bb.1:                               // %loop.preheader
\tmov\tx8, x2
\tb\t.LBB0_3
\t.p2align\t4, , 8
.LBB0_2:                                // %latch
                                        //   in Loop: Header=BB0_3 Depth=1
\tsubs\tx8, x8, #1
\tb.eq\t.LBB0_5
.LBB0_3:                                // %loop
                                        // =>This Inner Loop Header: Depth=1
\tldrb\tw9, [x0], #1
\tcmp\tx9, #16
\tb.eq\t.LBB0_2
// %bb.4:                               // %some
                                        //   in Loop: Header=BB0_3 Depth=1
\tlsl\tx9, x9, #1
\tldrh\tw10, [x1, x9]
\tadd\tw10, w10, #1
\tstrh\tw10, [x1, x9]
\tb\t.LBB0_2
.LBB0_5:                                // %end
\tmov\tx0, x2
\tret
.Lfunc_end0:
\t.size\tkernel, .Lfunc_end0-kernel
\t.cfi_endproc
"""
MCA = """\

[0] Code Region - b0

Iterations:        100
Instructions:      200
Total Cycles:      103
Total uOps:        200

Dispatch Width:    3
uOps Per Cycle:    1.94
IPC:               1.94
Block RThroughput: 1.0

[1] Code Region - b1

Iterations:        100
Instructions:      27200
Total Cycles:      12815
Total uOps:        35200

Dispatch Width:    3
uOps Per Cycle:    2.75
IPC:               2.12
Block RThroughput: 117.3
"""
COUNTING = """\
define i64 @kernel(ptr %p, ptr %counts, i64 %n) {
entry:
  %none = icmp eq i64 %n, 0
  br i1 %none, label %end, label %loop
loop:
  %i = phi i64 [ 0, %entry ], [ %next, %latch ]
  %at = getelementptr i8, ptr %p, i64 %i
  %v = load i8, ptr %at
  %is = icmp eq i8 %v, 16
  br i1 %is, label %latch, label %some
some:
  %w = zext i8 %v to i64
  %c = getelementptr i16, ptr %counts, i64 %w
  %o = load i16, ptr %c
  %q = add i16 %o, 1
  store i16 %q, ptr %c
  br label %latch
latch:
  %next = add i64 %i, 1
  %done = icmp eq i64 %next, %n
  br i1 %done, label %end, label %loop
end:
  ret i64 %n
}
"""
KEPT = [
    ("entry", None, False),
    ("loop.preheader", None, False),
    ("latch", 3, False),
    ("loop", 3, True),
    ("some", 3, False),
    ("end", None, False),
]
IR = """\
define i64 @kernel(ptr %p, i64 %n) {
entry:
  br label %loop

loop:
  %i = phi i64 [ 0, %entry ], [ %next, %loop ]
  %next = add i64 %i, 1
  %done = icmp eq i64 %next, %n
  br i1 %done, label %end, label %loop

end:
  ret i64 %next
}
"""


def test_blocks_have_the_names_and_the_loops_that_comments_give():
    blocks = blocks_of(A72)["kernel"]
    assert [(b.name, b.loop, b.is_header) for b in blocks] == KEPT
    assert blocks[3].code == ("ldrb\tw9, [x0], #1", "cmp\tx9, #16", "b.eq\t.LBB0_2")


def test_the_compiler_at_hand_still_prints_such_comments():
    ll.initialize_all_targets()
    ll.initialize_all_asmprinters()
    target = ll.Target.from_triple(AARCH64).create_target_machine(cpu="cortex-a72", opt=3)
    target.set_asm_verbosity(True)
    blocks = blocks_of(target.emit_assembly(ll.parse_assembly(COUNTING)))["kernel"]
    assert {b.name for b in blocks if b.loop is not None} == {"latch", "loop", "some"}
    assert [b.name for b in blocks if b.is_header] == ["loop"]


def test_a_loop_is_walked_as_often_as_its_blocks_were_run():
    header, seldom = Block("a", ("x",), 1, True), Block("b", ("y",), 1)
    walk, *rest = walks([(header, 1000), (seldom, 250), (Block(None, ("z",), 1), 0)])
    assert not rest
    assert walk.code.count("x") == 16
    assert walk.code.count("y") == 4
    assert walk.times * walk.code.count("x") == 1000


@given(st.lists(st.integers(1, 10_000), min_size=1, max_size=6))
def test_no_counted_run_is_lost(counts):
    turns = max(counts)
    run = [(Block(str(n), (f"i{n}",), 0, count == turns), count) for n, count in enumerate(counts)]
    gone = walks(run)
    for n, count in enumerate(counts):
        walked = sum(walk.times * walk.code.count(f"i{n}") for walk in gone)
        assert walked == pytest.approx(count, abs=turns / 16 + 1)


def test_what_llvm_mca_says_is_read():
    found = told(MCA)
    assert (found["b0"].cycles, found["b0"].instructions) == (1.03, 2)
    assert (found["b1"].cycles, found["b1"].instructions) == (128.15, 272)
    assert told("llvm-mca: error: no such processor") == {}


@pytest.mark.skipif(mca_program() is None, reason="no llvm-mca of release 19 or later is here")
@pytest.mark.parametrize("board", BOARDS, ids=lambda board: board.name)
def test_llvm_mca_times_each_walk(board):
    program = mca_program()
    assert program is not None
    chain = Walk(("add\tx1, x1, #1",), 1.0)  # each waits for the last: a cycle, by any table
    one, four = costs_of([chain, Walk(chain.code * 4, 1.0)], board.triple, board.timed_as, program)
    assert one.cycles == pytest.approx(1.0, abs=0.1)
    assert four.cycles == pytest.approx(4.0, abs=0.2)


def test_counters_count_blocks_and_wrong_guesses():
    ll.initialize_native_target()
    ll.initialize_native_asmprinter()
    counts, guesses = np.zeros(8, np.int64), np.zeros(2 + (1 << 13), np.int64)
    text, names = counted(IR, 2, counts.ctypes.data, guesses.ctypes.data)
    assert names == [("kernel", "entry"), ("kernel", "loop"), ("kernel", "end")]
    target = ll.Target.from_triple(ll.get_process_triple()).create_target_machine()
    engine = ll.create_mcjit_compiler(ll.parse_assembly(text), target)
    engine.finalize_object()
    call = ctypes.CFUNCTYPE(ctypes.c_int64, ctypes.c_void_p, ctypes.c_int64)
    assert call(engine.get_function_address("kernel"))(None, 1000) == 1000
    assert counts.tolist() == [0, 0, 1, 1000, 1, 0, 0, 0]
    # A loop that goes on and on is guessed right but for its end.
    assert guesses[1] in {1, 2}


def test_a_cache_keeps_what_was_used_last():
    lines = np.array([0, 4, 0, 8, 4, 0], np.int64)  # all of one set of two ways
    assert _missed(lines, 4, 2) == 5
    assert _missed(lines, 4, 4) == 3


def test_an_addition_waits_for_that_to_the_same_count_alone():
    same, others = np.zeros(100, np.int64), np.arange(100)
    assert _chained(same, 100, 1.0, 5.0) == pytest.approx(500.0)
    assert _chained(others, 100, 1.0, 5.0) == pytest.approx(104.0, abs=1.0)
