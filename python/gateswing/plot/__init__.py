"""Pictures of results. They show numbers that the studies computed, and compute none."""

from .bench import plot_bench
from .commutations import plot_commutations
from .comparison import plot_comparison
from .dead_time import plot_dead_time, plot_dead_time_losses
from .drivers import plot_driver_output, plot_gate_network
from .edges import plot_edges
from .gate_charge import plot_gate_charge
from .gate_resistance import plot_gate_resistance
from .locus import plot_locus
from .losses import plot_loss_stack, plot_losses
from .maps import plot_map
from .margins import plot_margins
from .overlays import plot_overlay
from .overview import plot_overview
from .release import plot_release
from .sheet import plot_fit
from .spread import plot_histogram, plot_pareto, plot_tornado
from .thermal import plot_thermal_impedance
from .thermal_step import plot_thermal_step
from .waveforms import plot_waveforms

__all__ = [
    "plot_bench",
    "plot_commutations",
    "plot_comparison",
    "plot_dead_time",
    "plot_dead_time_losses",
    "plot_driver_output",
    "plot_edges",
    "plot_fit",
    "plot_gate_charge",
    "plot_gate_network",
    "plot_gate_resistance",
    "plot_histogram",
    "plot_locus",
    "plot_loss_stack",
    "plot_losses",
    "plot_map",
    "plot_margins",
    "plot_overlay",
    "plot_overview",
    "plot_pareto",
    "plot_release",
    "plot_thermal_impedance",
    "plot_thermal_step",
    "plot_tornado",
    "plot_waveforms",
]
