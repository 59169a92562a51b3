"""Several colonies: the pooled figure, the one that stands out, how many to sample."""
