"""Finding the card that a picture was given to be read by."""
