"""The setup sheet: what a setter does at the machine, in the order of the work, on paper; it computes no verdict."""
