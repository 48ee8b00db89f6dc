"""What belongs to the board: wiring, boot lines, the plate, and the card that it boots from."""
