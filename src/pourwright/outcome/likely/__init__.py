"""How likely a weight or a load is: its 95 % range beside the worst case, and what a scale teaches of the weights."""
