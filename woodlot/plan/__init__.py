"""What may be cut and taken, where, when."""
