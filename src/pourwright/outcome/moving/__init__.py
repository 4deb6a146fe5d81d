"""From the bench to its place: turned by two hooks, on a bar, on a cradle, in a crate."""
