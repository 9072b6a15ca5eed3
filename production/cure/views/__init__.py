"""The pages of the rack and the packing table."""
