"""``pourwright record`` on a lining: what is asked, said and kept of its coats."""
