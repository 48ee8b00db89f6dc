"""Mutants that no test can kill because they change nothing; each was judged by hand.

They are counted apart. Few, or they are no longer judged but excused.
"""

EQUIVALENT: dict[tuple[str, str, str], str] = {
    (
        "overlays/measure/balance/balance.py",
        "step = 1e-4 * np.maximum(rgb, 1e-3)",
        "constant nudged: 1e-4 -> 0.00015000000000000001",
    ): "the step of a central difference: slopes of all curves differ by less than 1e-8, but "
    "within 2e-4 of a break of one, where it has no one slope",
    (
        "overlays/measure/range/forecast.py",
        "near = 0.02",
        "constant nudged: 0.02 -> 0.03",
    ): "the step of a central difference of a curve in stops: the slope of standard gamma differs "
    "by 1e-5 of itself, that of a logarithm by nothing, and a ± is told to two digits",
    (
        "firmware/v4l2/media_structs.py",
        "_pack_ = 1",
        "constant nudged: 1 -> 2",
    ): "every field is of four bytes or 64: packed to one byte or to two they lie alike",
    (
        "overlays/measure/counting/shares.py",
        "rows, columns = frame.planes[1].shape",
        "constant nudged: 1 -> 2",
    ): "both planes of chroma have one shape; a frame of others is refused when it is made",
    (
        "firmware/system/memory.py",
        "trim(ctypes.c_size_t(0))",
        "constant nudged: 0 -> 1",
    ): "malloc_trim's pad: a byte more that it may keep, and it gives memory back by pages",
    (
        "firmware/page/listing.py",
        "sys.stdout.write(json.dumps(rows, allow_nan=False))",
        "constant nudged: False -> True",
    ): "a row holds texts, whole numbers and truths: no number in it can be other than finite",
    (
        "firmware/page/phones.py",
        "MOST_BYTES = 20_000",
        "constant nudged: 20_000 -> 30000",
    ): "a bound of ours that nothing written comes near: twenty phones take a third of it",
    (
        "firmware/update/bundle.py",
        "super().__init__()",
        "call left out: super().__init__() -> pass",
    ): "io.RawIOBase has nothing to begin: its __init__ is that of object",
    (
        "overlays/draw/trace/trace.py",
        "most = np.uint32(shade.size - 1)",
        "constant nudged: 1 -> 2",
    ): "the last two of 2048 shades are one once rounded to 8 bits, in every colour there is",
    (
        "overlays/signal/formulas.py",
        "toe: float = 0.0",
        "constant nudged: 0.0 -> 1.0",
    ): "left out only where a mirrored log has no straight piece, whose slope alone it is",
    (
        "overlays/measure/characterise/rounded.py",
        "SIGMAS = np.append(0.001, np.geomspace(0.05, 0.85, 48))",
        "constant nudged: 48 -> 49",
    ): "how finely noise is tried, each 6 % above the last: one more makes that 5.9 %",
    (
        "overlays/measure/chart/odd.py",
        "matrix: FloatArray = np.eye(3)",
        "constant nudged: 3 -> 4",
    ): "it is made anew in the first round, before anything is multiplied by it",
    (
        "firmware/controls/lamp_keeper.py",
        "self._presses += 1",
        "constant nudged: 1 -> 2",
    ): "only whether it is still the same is asked, never how many there were",
    (
        "firmware/live/eyes.py",
        "sys.stderr.flush()",
        "call left out: sys.stderr.flush() -> pass",
    ): "standard error is written line by line since Python 3.9, and the sentence ends its line",
    (
        "overlays/signal/tabled.py",
        "NODES_A_STOP = 128",
        "constant nudged: 128 -> 129",
    ): "how finely a curve is tabled: one node more in 128 is none that a reading shows",
    (
        "overlays/measure/colour/whitepoint.py",
        "for _ in range(8):",
        "constant nudged: 8 -> 9",
    ): "from the nearest node it takes four steps at the most, all over what is answered",
    (
        "overlays/measure/chart/lit.py",
        "for at in np.unique(np.round(along, 6))[1:]:",
        "constant nudged: 6 -> 7",
    ): "patches lie hundredths apart; it only makes one of what rounding errors made two",
    (
        "firmware/feeds/reel.py",
        "self._zero_ns = 0",
        "constant nudged: 0 -> 1",
    ): "counts where no picture has a stamp, as a nanosecond beside a picture and a half",
    (
        "firmware/screen/screen.py",
        "pygame.key.set_repeat(350, 60)",
        "constant nudged: 350 -> 351",
    ): "a thousandth of a second until a key that is held repeats",
    (
        "firmware/page/live_socket.py",
        'await self._socket.send_text(json.dumps({"error": words}, ensure_ascii=False))',
        "constant nudged: False -> True",
    ): "other letters are written out or not, and are the same to whoever reads JSON",
}
"""(module, line of code, what is changed) and why nothing comes of it; on no line are there two."""
