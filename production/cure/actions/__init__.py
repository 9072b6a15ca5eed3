"""The verbs of the rack: weigh and check bars, decide on a batch, move its bars, pack and hand over."""
