"""Hand formulas beside the model."""
