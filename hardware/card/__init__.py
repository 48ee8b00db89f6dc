"""A card to flash: an image made on a laptop, which boots into midgrey with nothing else."""
