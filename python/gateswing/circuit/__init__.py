"""What a circuit consists of: devices, drivers, loads, cooling, and the cells that join them."""
