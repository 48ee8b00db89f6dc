import os
import signal
import threading

from firmware.system.sigterm import EndAsked


def test_sigterm_is_noted_and_nothing_is_ended():
    before = signal.getsignal(signal.SIGTERM)
    told = EndAsked()
    assert not told.to_end()
    os.kill(os.getpid(), signal.SIGTERM)
    assert told.to_end()
    told.close()
    told.close()
    assert signal.getsignal(signal.SIGTERM) is before


def test_in_another_thread_nobody_is_told():
    before, made = signal.getsignal(signal.SIGTERM), []
    thread = threading.Thread(target=lambda: made.append(EndAsked()))
    thread.start()
    thread.join()
    assert signal.getsignal(signal.SIGTERM) is before
    assert not made[0].to_end()
    made[0].close()
