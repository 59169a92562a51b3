"""Whether a treatment worked, from counts before and after it."""
