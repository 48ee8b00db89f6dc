"""What a person has set, kept over a power cut: its file, and who writes it when."""
