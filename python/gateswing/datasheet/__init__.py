"""From the figures of a data sheet to the parameters of a model."""
