"""Versioned tables of the fastener desk: one folder per edition, every row with its source."""
