"""What deserves a word before a simulation: unusual values and surprising combinations."""
