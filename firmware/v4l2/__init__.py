"""The kernel's video capture interface (V4L2), in thin typed layers.

From below: `structs` (the kernel's own layout), `kernel` (the five calls everything goes through,
and the seam for tests), `ioctls` (one typed function a request), `timings`, `formats` and `media`
(what the answers mean), `stream` (buffers) and `device` (one opened node).

Interface as documented in the kernel's "Linux Media Infrastructure userspace API", Part I, and
`include/uapi/linux/videodev2.h`.
"""
