"""The appliance: feeds, controls, profiles, screen and commands around `overlays`.

Not the boot partition that Raspberry Pi documentation calls firmware.
"""
