"""Whether the machine itself is well: heat, power, card, frames. Files in, plain words out."""
