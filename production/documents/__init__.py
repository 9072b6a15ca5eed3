"""Papers of the workshop: one frozen record in, one PDF out. No database, no clock, no sums."""
