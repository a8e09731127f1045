"""What may be cut and taken, where, when; the ledger of what was done."""
