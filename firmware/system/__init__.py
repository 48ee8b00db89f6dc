"""The machine below: systemd, files, threads and memory."""
