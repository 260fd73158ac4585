"""Pictures of results. They show numbers that the studies computed, and compute none."""

from .comparison import plot_comparison
from .drivers import plot_driver_output, plot_gate_network
from .edges import plot_edges
from .gate_charge import plot_gate_charge
from .losses import plot_losses
from .maps import plot_map
from .overlays import plot_overlay
from .sheet import plot_fit
from .thermal import plot_thermal_impedance
from .waveforms import plot_waveforms

__all__ = [
    "plot_comparison",
    "plot_driver_output",
    "plot_edges",
    "plot_fit",
    "plot_gate_charge",
    "plot_gate_network",
    "plot_losses",
    "plot_map",
    "plot_overlay",
    "plot_thermal_impedance",
    "plot_waveforms",
]
