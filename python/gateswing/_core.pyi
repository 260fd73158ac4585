"""
C++ core of gateswing.
"""
from __future__ import annotations
import collections.abc
import enum
import numpy
import numpy.typing
import os
import typing
__all__: list[str] = ['AvalancheCircuit', 'AvalancheTest', 'Bootstrap', 'BridgeOperation', 'BridgeSwitch', 'CauseEnergy', 'Channel', 'Clamp', 'CommandTiming', 'Commutation', 'ConstantCapacitance', 'CooledDiode', 'CooledMosfet', 'Crossing', 'CurrentSharing', 'DepletionCapacitance', 'DiodeTemperature', 'Direction', 'DoublePulse', 'DoublePulseRequest', 'DriverOutput', 'EdgeInstants', 'EdgeTimes', 'ElementEnergy', 'EnergyEntry', 'EnergyKind', 'EnergyLimits', 'Extremum', 'Figure', 'FreewheelDiode', 'GateChargeCircuit', 'GateChargeTest', 'GatePath', 'HalfBridgeCell', 'HalfBridgeEdges', 'HalfBridgePoint', 'HalfBridgePointRequest', 'HalfBridgeRequest', 'HeatPath', 'InductiveTurnOff', 'InductiveTurnOffRequest', 'JunctionDiode', 'KneeConduction', 'LedString', 'Levels', 'Load', 'LoadReturn', 'LowSideCell', 'Mosfet', 'MosfetChannel', 'MosfetTemperature', 'OperatingPoint', 'OperatingPointRequest', 'Output', 'Overshoot', 'ParallelCell', 'PeriodicOutcome', 'Plateau', 'PointStatus', 'PushPullDriver', 'RcdClamp', 'RecoveryCircuit', 'RecoveryTest', 'Ring', 'Settings', 'SharedFigures', 'Side', 'Snubber', 'Statistics', 'Status', 'SteadyPeriod', 'StepCapacitance', 'Supply', 'SweepResult', 'SwitchFigures', 'Transient', 'TurnOff', 'TurnOn', 'Warming', 'Waveform', 'Window', 'Wiring', 'avalanche_test', 'capacitance', 'channel_current', 'charge', 'clipped', 'crossings', 'current_sharing', 'diode_at_temperature', 'diode_current', 'double_pulse', 'driver_current', 'first_crossing', 'gate_charge_test', 'half_bridge_edges', 'half_bridge_point', 'half_bridge_point_figures', 'half_bridge_sweep', 'inductive_turn_off', 'integral', 'integral_of_product', 'knee_current', 'last_crossing', 'main_transition', 'maximum', 'maximum_slope', 'mean', 'minimum', 'minimum_slope', 'mosfet_at_temperature', 'operating_point', 'operating_point_figures', 'opposing_voltage', 'overshoot', 'plateau', 'recovery_current', 'recovery_test', 'ring', 'root_mean_square', 'saturation_current_for', 'settled_current', 'settling_time', 'steepest_slope', 'stored_energy', 'sweep', 'turn_off_energy', 'turn_off_energy_window', 'turn_off_times', 'turn_on_energy', 'turn_on_energy_window', 'turn_on_times', 'whole']
class ConstantCapacitance:
    """
    Capacitance that is the same everywhere.
    """
    __hash__: typing.ClassVar[None] = None
    def __eq__(self, arg0: ConstantCapacitance) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    def __init__(self) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    @property
    def capacitance(self) -> float:
        """
        [F]
        """
    @capacitance.setter
    def capacitance(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
class DepletionCapacitance:
    """
    Junction capacitance, blocking for positive voltage.
    """
    __hash__: typing.ClassVar[None] = None
    def __eq__(self, arg0: DepletionCapacitance) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    def __init__(self) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    @property
    def ceiling(self) -> float:
        """
        [F]
        """
    @ceiling.setter
    def ceiling(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def floor(self) -> float:
        """
        [F]
        """
    @floor.setter
    def floor(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def grading(self) -> float:
        ...
    @grading.setter
    def grading(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def potential(self) -> float:
        """
        [V]
        """
    @potential.setter
    def potential(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def zero_bias(self) -> float:
        """
        [F]
        """
    @zero_bias.setter
    def zero_bias(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
class StepCapacitance:
    """
    Smooth step between two capacitances.
    """
    __hash__: typing.ClassVar[None] = None
    def __eq__(self, arg0: StepCapacitance) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    def __init__(self) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    @property
    def centre(self) -> float:
        """
        [V]
        """
    @centre.setter
    def centre(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def high(self) -> float:
        """
        [F]
        """
    @high.setter
    def high(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def low(self) -> float:
        """
        [F]
        """
    @low.setter
    def low(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def width(self) -> float:
        """
        [V]
        """
    @width.setter
    def width(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
class MosfetChannel:
    """
    Channel of an N-channel MOSFET.
    """
    __hash__: typing.ClassVar[None] = None
    def __eq__(self, arg0: MosfetChannel) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    def __init__(self) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    @property
    def mobility_degradation(self) -> float:
        """
        [1/V]
        """
    @mobility_degradation.setter
    def mobility_degradation(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def subthreshold_voltage(self) -> float:
        """
        [V]
        """
    @subthreshold_voltage.setter
    def subthreshold_voltage(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def threshold_voltage(self) -> float:
        """
        [V]
        """
    @threshold_voltage.setter
    def threshold_voltage(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def transconductance_factor(self) -> float:
        """
        [A/V^2]
        """
    @transconductance_factor.setter
    def transconductance_factor(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
class JunctionDiode:
    """
    Exponential diode with charge-control recovery.
    """
    __hash__: typing.ClassVar[None] = None
    def __eq__(self, arg0: JunctionDiode) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    def __init__(self) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    @property
    def emission_voltage(self) -> float:
        """
        [V]
        """
    @emission_voltage.setter
    def emission_voltage(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def lifetime(self) -> float:
        """
        [s]
        """
    @lifetime.setter
    def lifetime(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def saturation_current(self) -> float:
        """
        [A]
        """
    @saturation_current.setter
    def saturation_current(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def transit_time(self) -> float:
        """
        [s]
        """
    @transit_time.setter
    def transit_time(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
class KneeConduction:
    """
    Resistance beyond a rounded knee voltage.
    """
    __hash__: typing.ClassVar[None] = None
    def __eq__(self, arg0: KneeConduction) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    def __init__(self) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    @property
    def knee_voltage(self) -> float:
        """
        [V]
        """
    @knee_voltage.setter
    def knee_voltage(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def knee_width(self) -> float:
        """
        [V]
        """
    @knee_width.setter
    def knee_width(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def slope_resistance(self) -> float:
        """
        [ohm]
        """
    @slope_resistance.setter
    def slope_resistance(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
class DriverOutput:
    """
    Push-pull output with drops and current limits.
    """
    __hash__: typing.ClassVar[None] = None
    def __eq__(self, arg0: DriverOutput) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    def __init__(self) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    @property
    def drop_width(self) -> float:
        """
        [V]
        """
    @drop_width.setter
    def drop_width(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def inverse_sink_limit(self) -> float:
        """
        [1/A]
        """
    @inverse_sink_limit.setter
    def inverse_sink_limit(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def inverse_source_limit(self) -> float:
        """
        [1/A]
        """
    @inverse_source_limit.setter
    def inverse_source_limit(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def leakage_conductance(self) -> float:
        """
        [S]
        """
    @leakage_conductance.setter
    def leakage_conductance(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def sink_drop(self) -> float:
        """
        [V]
        """
    @sink_drop.setter
    def sink_drop(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def sink_resistance(self) -> float:
        """
        [ohm]
        """
    @sink_resistance.setter
    def sink_resistance(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def source_drop(self) -> float:
        """
        [V]
        """
    @source_drop.setter
    def source_drop(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def source_resistance(self) -> float:
        """
        [ohm]
        """
    @source_resistance.setter
    def source_resistance(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
class Mosfet:
    """
    N-channel power MOSFET in its package.
    """
    __hash__: typing.ClassVar[None] = None
    body_diode: JunctionDiode
    breakdown: KneeConduction
    channel: MosfetChannel
    drain_source: DepletionCapacitance
    drain_source_step: StepCapacitance | None
    gate_drain: DepletionCapacitance
    gate_drain_step: StepCapacitance | None
    gate_source: StepCapacitance
    def __eq__(self, arg0: Mosfet) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    def __init__(self) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    @property
    def drain_inductance(self) -> float:
        """
        [H]
        """
    @drain_inductance.setter
    def drain_inductance(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def drift_resistance(self) -> float:
        """
        [ohm]
        """
    @drift_resistance.setter
    def drift_resistance(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def gate_inductance(self) -> float:
        """
        [H]
        """
    @gate_inductance.setter
    def gate_inductance(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def internal_gate_resistance(self) -> float:
        """
        [ohm]
        """
    @internal_gate_resistance.setter
    def internal_gate_resistance(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def source_inductance(self) -> float:
        """
        [H]
        """
    @source_inductance.setter
    def source_inductance(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
class Warming:
    """
    Temperature the parameters were stated for, and of the junction.
    """
    __hash__: typing.ClassVar[None] = None
    def __eq__(self, arg0: Warming) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    def __init__(self) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    @property
    def junction(self) -> float:
        """
        [K]
        """
    @junction.setter
    def junction(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def stated(self) -> float:
        """
        [K]
        """
    @stated.setter
    def stated(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
class MosfetTemperature:
    """
    Temperature coefficients of a MOSFET.
    """
    __hash__: typing.ClassVar[None] = None
    def __eq__(self, arg0: MosfetTemperature) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    def __init__(self) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    @property
    def breakdown_slope(self) -> float:
        """
        [V/K]
        """
    @breakdown_slope.setter
    def breakdown_slope(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def drift_exponent(self) -> float:
        ...
    @drift_exponent.setter
    def drift_exponent(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def mobility_exponent(self) -> float:
        ...
    @mobility_exponent.setter
    def mobility_exponent(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def threshold_slope(self) -> float:
        """
        [V/K]
        """
    @threshold_slope.setter
    def threshold_slope(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
class DiodeTemperature:
    """
    Temperature coefficients of a diode.
    """
    __hash__: typing.ClassVar[None] = None
    def __eq__(self, arg0: DiodeTemperature) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    def __init__(self) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    @property
    def barrier_voltage(self) -> float:
        """
        [V]
        """
    @barrier_voltage.setter
    def barrier_voltage(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def current_exponent(self) -> float:
        ...
    @current_exponent.setter
    def current_exponent(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def lifetime_exponent(self) -> float:
        ...
    @lifetime_exponent.setter
    def lifetime_exponent(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
class Supply:
    """
    Bus source, its cable and the bulk capacitor.
    """
    __hash__: typing.ClassVar[None] = None
    def __eq__(self, arg0: Supply) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    def __init__(self) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    @property
    def bulk_capacitance(self) -> float:
        """
        [F]
        """
    @bulk_capacitance.setter
    def bulk_capacitance(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def bulk_inductance(self) -> float:
        """
        [H]
        """
    @bulk_inductance.setter
    def bulk_inductance(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def bulk_resistance(self) -> float:
        """
        [ohm]
        """
    @bulk_resistance.setter
    def bulk_resistance(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def inductance(self) -> float:
        """
        [H]
        """
    @inductance.setter
    def inductance(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def resistance(self) -> float:
        """
        [ohm]
        """
    @resistance.setter
    def resistance(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def voltage(self) -> float:
        """
        [V]
        """
    @voltage.setter
    def voltage(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
class LedString:
    """
    Junctions in series as one.
    """
    __hash__: typing.ClassVar[None] = None
    junction: JunctionDiode
    def __eq__(self, arg0: LedString) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    def __init__(self) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    @property
    def capacitance(self) -> float:
        """
        [F]
        """
    @capacitance.setter
    def capacitance(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
class Load:
    """
    Series R-L load with what opposes its current, or a constant current.
    """
    __hash__: typing.ClassVar[None] = None
    leds: LedString | None
    def __eq__(self, arg0: Load) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    def __init__(self) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    @property
    def back_emf(self) -> float | None:
        """
        [V]
        """
    @back_emf.setter
    def back_emf(self, arg0: typing.SupportsFloat | typing.SupportsIndex | None) -> None:
        ...
    @property
    def constant_current(self) -> float | None:
        """
        [A]
        """
    @constant_current.setter
    def constant_current(self, arg0: typing.SupportsFloat | typing.SupportsIndex | None) -> None:
        ...
    @property
    def core_resistance(self) -> float | None:
        """
        [ohm]
        """
    @core_resistance.setter
    def core_resistance(self, arg0: typing.SupportsFloat | typing.SupportsIndex | None) -> None:
        ...
    @property
    def inductance(self) -> float:
        """
        [H]
        """
    @inductance.setter
    def inductance(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def resistance(self) -> float:
        """
        [ohm]
        """
    @resistance.setter
    def resistance(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
class FreewheelDiode:
    """
    Diode from the switch node to the bus.
    """
    __hash__: typing.ClassVar[None] = None
    capacitance: DepletionCapacitance
    junction: JunctionDiode
    def __eq__(self, arg0: FreewheelDiode) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    def __init__(self) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    @property
    def inductance(self) -> float:
        """
        [H]
        """
    @inductance.setter
    def inductance(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def resistance(self) -> float:
        """
        [ohm]
        """
    @resistance.setter
    def resistance(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
class Snubber:
    """
    Series R-C from drain pin to source pin.
    """
    __hash__: typing.ClassVar[None] = None
    def __eq__(self, arg0: Snubber) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    def __init__(self) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    @property
    def capacitance(self) -> float:
        """
        [F]
        """
    @capacitance.setter
    def capacitance(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def resistance(self) -> float:
        """
        [ohm]
        """
    @resistance.setter
    def resistance(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
class Clamp:
    """
    Zener or TVS diode.
    """
    __hash__: typing.ClassVar[None] = None
    law: KneeConduction
    def __eq__(self, arg0: Clamp) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    def __init__(self) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    @property
    def capacitance(self) -> float:
        """
        [F]
        """
    @capacitance.setter
    def capacitance(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
class RcdClamp:
    """
    Diode into a capacitor with a resistor across it.
    """
    __hash__: typing.ClassVar[None] = None
    diode: FreewheelDiode
    def __eq__(self, arg0: RcdClamp) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    def __init__(self) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    @property
    def capacitance(self) -> float:
        """
        [F]
        """
    @capacitance.setter
    def capacitance(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def resistance(self) -> float:
        """
        [ohm]
        """
    @resistance.setter
    def resistance(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
class Wiring:
    """
    Layout of the power loop.
    """
    __hash__: typing.ClassVar[None] = None
    def __eq__(self, arg0: Wiring) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    def __init__(self) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    @property
    def common_source_inductance(self) -> float:
        """
        [H]
        """
    @common_source_inductance.setter
    def common_source_inductance(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def loop_inductance(self) -> float:
        """
        [H]
        """
    @loop_inductance.setter
    def loop_inductance(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def loop_resistance(self) -> float:
        """
        [ohm]
        """
    @loop_resistance.setter
    def loop_resistance(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
class CommandTiming:
    """
    Delays and ramps of a driver output.
    """
    __hash__: typing.ClassVar[None] = None
    def __eq__(self, arg0: CommandTiming) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    def __init__(self) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    @property
    def fall_time(self) -> float:
        """
        [s]
        """
    @fall_time.setter
    def fall_time(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def rise_time(self) -> float:
        """
        [s]
        """
    @rise_time.setter
    def rise_time(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def turn_off_delay(self) -> float:
        """
        [s]
        """
    @turn_off_delay.setter
    def turn_off_delay(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def turn_on_delay(self) -> float:
        """
        [s]
        """
    @turn_on_delay.setter
    def turn_on_delay(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
class PushPullDriver:
    """
    Driver output with its rails and timing.
    """
    __hash__: typing.ClassVar[None] = None
    output: DriverOutput
    timing: CommandTiming
    def __eq__(self, arg0: PushPullDriver) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    def __init__(self) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    @property
    def off_state_power(self) -> float:
        """
        [W]
        """
    @off_state_power.setter
    def off_state_power(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def off_voltage(self) -> float:
        """
        [V]
        """
    @off_voltage.setter
    def off_voltage(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def on_state_power(self) -> float:
        """
        [W]
        """
    @on_state_power.setter
    def on_state_power(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def supply_voltage(self) -> float:
        """
        [V]
        """
    @supply_voltage.setter
    def supply_voltage(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
class GatePath:
    """
    Between driver output and gate pin.
    """
    __hash__: typing.ClassVar[None] = None
    steering: KneeConduction | None
    def __eq__(self, arg0: GatePath) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    def __init__(self) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    @property
    def inductance(self) -> float:
        """
        [H]
        """
    @inductance.setter
    def inductance(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def pull_down_resistance(self) -> float | None:
        """
        [ohm]
        """
    @pull_down_resistance.setter
    def pull_down_resistance(self, arg0: typing.SupportsFloat | typing.SupportsIndex | None) -> None:
        ...
    @property
    def turn_on_resistance(self) -> float:
        """
        [ohm]
        """
    @turn_on_resistance.setter
    def turn_on_resistance(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
class HeatPath:
    """
    From a junction to the ambient.
    """
    __hash__: typing.ClassVar[None] = None
    def __eq__(self, arg0: HeatPath) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    def __init__(self) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    @property
    def ambient(self) -> float:
        """
        [K]
        """
    @ambient.setter
    def ambient(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def resistance(self) -> float:
        """
        [K/W]
        """
    @resistance.setter
    def resistance(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
class CooledMosfet:
    """
    A MOSFET whose junction temperature follows from its losses.
    """
    __hash__: typing.ClassVar[None] = None
    body_diode: DiodeTemperature
    coefficients: MosfetTemperature
    path: HeatPath
    stated: Mosfet
    def __eq__(self, arg0: CooledMosfet) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    def __init__(self) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    @property
    def stated_temperature(self) -> float:
        """
        [K]
        """
    @stated_temperature.setter
    def stated_temperature(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
class CooledDiode:
    """
    A diode whose junction temperature follows from its losses.
    """
    __hash__: typing.ClassVar[None] = None
    coefficients: DiodeTemperature
    path: HeatPath
    stated: JunctionDiode
    def __eq__(self, arg0: CooledDiode) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    def __init__(self) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    @property
    def stated_temperature(self) -> float:
        """
        [K]
        """
    @stated_temperature.setter
    def stated_temperature(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
class LowSideCell:
    """
    Low-side switching cell.
    """
    __hash__: typing.ClassVar[None] = None
    cooled_freewheel: CooledDiode | None
    cooled_mosfet: CooledMosfet | None
    drain_gate_clamp: Clamp | None
    drain_source_clamp: Clamp | None
    driver: PushPullDriver
    freewheel: FreewheelDiode | None
    gate: GatePath
    load: Load
    mosfet: Mosfet
    rcd_clamp: RcdClamp | None
    snubber: Snubber | None
    supply: Supply
    wiring: Wiring
    def __eq__(self, arg0: LowSideCell) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    def __init__(self) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
class Channel:
    """
    Name and SI unit of one recorded quantity.
    """
    __hash__: typing.ClassVar[None] = None
    def __eq__(self, arg0: Channel) -> bool:
        ...
    def __getstate__(self) -> tuple[str, str]:
        ...
    def __init__(self, name: str, unit: str) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    @property
    def name(self) -> str:
        ...
    @property
    def unit(self) -> str:
        ...
class Waveform:
    """
    Recorded channels over time, a polynomial in each step; read-only.
    """
    __hash__: typing.ClassVar[None] = None
    @staticmethod
    def from_nodes(channels: collections.abc.Sequence[Channel], degree: typing.SupportsInt | typing.SupportsIndex, times: typing.Annotated[numpy.typing.ArrayLike, numpy.float64], values: collections.abc.Sequence[typing.Annotated[numpy.typing.ArrayLike, numpy.float64]]) -> Waveform:
        """
        The inverse of `times` and `values`, an array for each channel.
        """
    @staticmethod
    def from_samples(channels: collections.abc.Sequence[Channel], times: typing.Annotated[numpy.typing.ArrayLike, numpy.float64], values: collections.abc.Sequence[typing.Annotated[numpy.typing.ArrayLike, numpy.float64]]) -> Waveform:
        """
        Straight lines between samples: times [s] that increase, and an array of values for each channel.
        """
    @staticmethod
    def read_csv(path: os.PathLike | str | bytes) -> Waveform:
        """
        Reads what `write_csv` wrote.
        """
    def __eq__(self, arg0: Waveform) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    def derivative(self, channel: str, time: typing.Annotated[numpy.typing.ArrayLike, numpy.float64]) -> float | numpy.typing.NDArray[numpy.float64]:
        """
        Slope of a channel [unit/s] at any time [s].
        """
    def resample(self, channel: str, times: typing.Annotated[numpy.typing.ArrayLike, numpy.float64]) -> numpy.typing.NDArray[numpy.float64]:
        """
        Values of a channel at a row of times [s]; fastest when they ascend.
        """
    def value(self, channel: str, time: typing.Annotated[numpy.typing.ArrayLike, numpy.float64]) -> float | numpy.typing.NDArray[numpy.float64]:
        """
        Value of a channel at any time [s]; at a jump, the value after it.
        """
    def values(self, channel: str) -> numpy.typing.NDArray[numpy.float64]:
        """
        Values of a channel at `times`.
        """
    def write_csv(self, path: os.PathLike | str | bytes) -> None:
        """
        Writes all nodes as text, with the digits that read back exactly.
        """
    @property
    def begin(self) -> float:
        """
        First time [s].
        """
    @property
    def channels(self) -> list[Channel]:
        ...
    @property
    def degree(self) -> int:
        """
        Degree of the polynomial in each step.
        """
    @property
    def end(self) -> float:
        """
        Last time [s].
        """
    @property
    def steps(self) -> int:
        """
        Number of steps.
        """
    @property
    def times(self) -> numpy.typing.NDArray[numpy.float64]:
        """
        Times [s] of all nodes, degree + 1 for each step; the time of a joint appears twice.
        """
class Window:
    """
    Stretch of time a measure looks at.
    """
    __hash__: typing.ClassVar[None] = None
    def __eq__(self, arg0: Window) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    @typing.overload
    def __init__(self) -> None:
        ...
    @typing.overload
    def __init__(self, begin: typing.SupportsFloat | typing.SupportsIndex, end: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    @property
    def begin(self) -> float:
        """
        [s]
        """
    @begin.setter
    def begin(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def end(self) -> float:
        """
        [s]
        """
    @end.setter
    def end(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def length(self) -> float:
        """
        [s]
        """
class Levels:
    """
    The two levels between which a quantity switches.
    """
    __hash__: typing.ClassVar[None] = None
    def __eq__(self, arg0: Levels) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    @typing.overload
    def __init__(self) -> None:
        ...
    @typing.overload
    def __init__(self, low: typing.SupportsFloat | typing.SupportsIndex, high: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    @property
    def high(self) -> float:
        """
        [unit]
        """
    @high.setter
    def high(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def low(self) -> float:
        """
        [unit]
        """
    @low.setter
    def low(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
class EnergyLimits:
    """
    Where the window of a switching energy begins and ends.
    """
    __hash__: typing.ClassVar[None] = None
    def __eq__(self, arg0: EnergyLimits) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    @typing.overload
    def __init__(self) -> None:
        ...
    @typing.overload
    def __init__(self, voltage: typing.SupportsFloat | typing.SupportsIndex, current: typing.SupportsFloat | typing.SupportsIndex, voltage_fraction: typing.SupportsFloat | typing.SupportsIndex, current_fraction: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    @property
    def current(self) -> float:
        """
        [A]
        """
    @current.setter
    def current(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def current_fraction(self) -> float:
        ...
    @current_fraction.setter
    def current_fraction(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def voltage(self) -> float:
        """
        [V]
        """
    @voltage.setter
    def voltage(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def voltage_fraction(self) -> float:
        ...
    @voltage_fraction.setter
    def voltage_fraction(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
class Direction(enum.Enum):
    """
    Way in which a level is crossed.
    """
    falling: typing.ClassVar[Direction]
    rising: typing.ClassVar[Direction]
    @classmethod
    def __new__(cls, value):
        ...
class Extremum:
    """
    Highest or lowest value, or slope per second.
    """
    __hash__: typing.ClassVar[None] = None
    def __eq__(self, arg0: Extremum) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    def __init__(self) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    @property
    def time(self) -> float:
        """
        [s]
        """
    @time.setter
    def time(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def value(self) -> float:
        """
        [unit]
        """
    @value.setter
    def value(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
class Overshoot:
    """
    How far a step goes beyond its settled value.
    """
    __hash__: typing.ClassVar[None] = None
    def __eq__(self, arg0: Overshoot) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    def __init__(self) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    @property
    def amount(self) -> float:
        """
        [unit]
        """
    @amount.setter
    def amount(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def fraction(self) -> float:
        ...
    @fraction.setter
    def fraction(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def peak(self) -> float:
        """
        [unit]
        """
    @peak.setter
    def peak(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def time(self) -> float:
        """
        [s]
        """
    @time.setter
    def time(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
class Crossing:
    """
    When and which way a level is crossed.
    """
    __hash__: typing.ClassVar[None] = None
    direction: Direction
    def __eq__(self, arg0: Crossing) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    def __init__(self) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    @property
    def time(self) -> float:
        """
        [s]
        """
    @time.setter
    def time(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
class EdgeTimes:
    """
    The instants of one edge; None for what the waveform lacks.
    """
    __hash__: typing.ClassVar[None] = None
    def __eq__(self, arg0: EdgeTimes) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    def __init__(self) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    @property
    def delay(self) -> float | None:
        """
        td(on) or td(off) [s]
        """
    @property
    def drain(self) -> Window | None:
        """
        [s]
        """
    @drain.setter
    def drain(self, arg0: Window | None) -> None:
        ...
    @property
    def gate(self) -> float | None:
        """
        [s]
        """
    @gate.setter
    def gate(self, arg0: typing.SupportsFloat | typing.SupportsIndex | None) -> None:
        ...
    @property
    def total(self) -> float | None:
        """
        ton or toff [s]
        """
    @property
    def transition(self) -> float | None:
        """
        tr or tf [s]
        """
class Ring:
    """
    Frequency and decay of a ring.
    """
    __hash__: typing.ClassVar[None] = None
    def __eq__(self, arg0: Ring) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    def __init__(self) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    @property
    def amplitude(self) -> float:
        """
        [unit]
        """
    @amplitude.setter
    def amplitude(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def begin(self) -> float:
        """
        [s]
        """
    @begin.setter
    def begin(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def damping_ratio(self) -> float:
        ...
    @property
    def decay_time(self) -> float:
        """
        [s]
        """
    @decay_time.setter
    def decay_time(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def frequency(self) -> float:
        """
        [Hz]
        """
    @frequency.setter
    def frequency(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def half_cycles(self) -> int:
        ...
    @half_cycles.setter
    def half_cycles(self, arg0: typing.SupportsInt | typing.SupportsIndex) -> None:
        ...
    @property
    def quality(self) -> float:
        """
        Q = pi frequency decay_time
        """
class Plateau:
    """
    The flattest point of a gate voltage.
    """
    __hash__: typing.ClassVar[None] = None
    def __eq__(self, arg0: Plateau) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    def __init__(self) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    @property
    def slope(self) -> float:
        """
        [V/s]
        """
    @slope.setter
    def slope(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def time(self) -> float:
        """
        [s]
        """
    @time.setter
    def time(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def voltage(self) -> float:
        """
        [V]
        """
    @voltage.setter
    def voltage(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
class Status(enum.Enum):
    """
    How an integration ended.
    """
    cancelled: typing.ClassVar[Status]
    non_finite: typing.ClassVar[Status]
    singular: typing.ClassVar[Status]
    step_limit: typing.ClassVar[Status]
    step_too_small: typing.ClassVar[Status]
    success: typing.ClassVar[Status]
    @classmethod
    def __new__(cls, value):
        ...
class EnergyKind(enum.Enum):
    """
    What became of an element's energy.
    """
    delivered: typing.ClassVar[EnergyKind]
    dissipated: typing.ClassVar[EnergyKind]
    stored: typing.ClassVar[EnergyKind]
    @classmethod
    def __new__(cls, value):
        ...
class PeriodicOutcome(enum.Enum):
    """
    Whether a steady state was found.
    """
    not_periodic: typing.ClassVar[PeriodicOutcome]
    periodic: typing.ClassVar[PeriodicOutcome]
    ringing: typing.ClassVar[PeriodicOutcome]
    thermal_runaway: typing.ClassVar[PeriodicOutcome]
    unstable: typing.ClassVar[PeriodicOutcome]
    @classmethod
    def __new__(cls, value):
        ...
class Settings:
    """
    Accuracy and limits of a study.
    """
    def __init__(self) -> None:
        ...
    @property
    def maximum_steps(self) -> int:
        ...
    @maximum_steps.setter
    def maximum_steps(self, arg0: typing.SupportsInt | typing.SupportsIndex) -> None:
        ...
    @property
    def relative_tolerance(self) -> float:
        ...
    @relative_tolerance.setter
    def relative_tolerance(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
class DoublePulseRequest:
    """
    Current and times; 0 chooses.
    """
    __hash__: typing.ClassVar[None] = None
    def __eq__(self, arg0: DoublePulseRequest) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    def __init__(self) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    @property
    def current(self) -> float:
        """
        [A]
        """
    @current.setter
    def current(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def off_time(self) -> float:
        """
        [s]
        """
    @off_time.setter
    def off_time(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def on_time(self) -> float:
        """
        [s]
        """
    @on_time.setter
    def on_time(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
class OperatingPointRequest:
    """
    Frequency, duty and limits of the search.
    """
    __hash__: typing.ClassVar[None] = None
    def __eq__(self, arg0: OperatingPointRequest) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    def __init__(self) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    @property
    def duty(self) -> float:
        ...
    @duty.setter
    def duty(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def frequency(self) -> float:
        """
        [Hz]
        """
    @frequency.setter
    def frequency(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def maximum_periods(self) -> int:
        ...
    @maximum_periods.setter
    def maximum_periods(self, arg0: typing.SupportsInt | typing.SupportsIndex) -> None:
        ...
    @property
    def periodicity_tolerance(self) -> float:
        ...
    @periodicity_tolerance.setter
    def periodicity_tolerance(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
class Statistics:
    """
    Work of the integrator.
    """
    @property
    def factorisations(self) -> int:
        ...
    @property
    def rejections(self) -> int:
        ...
    @property
    def residual_evaluations(self) -> int:
        ...
    @property
    def steps(self) -> int:
        ...
class EnergyEntry:
    """
    Energy of one element over a run.
    """
    @property
    def energy(self) -> float:
        """
        [J]
        """
    @property
    def kind(self) -> EnergyKind:
        ...
    @property
    def name(self) -> str:
        ...
class ElementEnergy:
    """
    Energy and mean power of one element over a period.
    """
    @property
    def energy(self) -> float:
        """
        [J]
        """
    @property
    def kind(self) -> EnergyKind:
        ...
    @property
    def name(self) -> str:
        ...
    @property
    def power(self) -> float:
        """
        [W]
        """
class CauseEnergy:
    """
    What one element lost for one cause over a period.
    """
    @property
    def cause(self) -> str:
        ...
    @property
    def element(self) -> str:
        ...
    @property
    def energy(self) -> float:
        """
        [J]
        """
class EdgeInstants:
    """
    Instants that the figures of an edge rest on [s].
    """
    @property
    def begin(self) -> float:
        ...
    @property
    def drain_begin(self) -> float:
        ...
    @property
    def drain_end(self) -> float:
        ...
    @property
    def end(self) -> float:
        ...
    @property
    def gate_time(self) -> float:
        ...
class TurnOn:
    """
    Figures of a turn-on.
    """
    @property
    def channel_heat(self) -> float:
        """
        [J]
        """
    @property
    def delay(self) -> float:
        """
        [s]
        """
    @property
    def energy(self) -> float:
        """
        [J]
        """
    @property
    def gate_charge(self) -> float:
        """
        [C]
        """
    @property
    def instants(self) -> EdgeInstants:
        ...
    @property
    def maximum_current_slope(self) -> float:
        """
        [A/s]
        """
    @property
    def maximum_voltage_slope(self) -> float:
        """
        [V/s]
        """
    @property
    def peak_drain_current(self) -> float:
        """
        [A]
        """
    @property
    def peak_driver_current(self) -> float:
        """
        [A]
        """
    @property
    def peak_gate_voltage(self) -> float:
        """
        [V]
        """
    @property
    def peak_gate_voltage_pin(self) -> float:
        """
        [V]
        """
    @property
    def plateau_voltage(self) -> float:
        """
        [V]
        """
    @property
    def rise_time(self) -> float:
        """
        [s]
        """
    @property
    def total_energy(self) -> float:
        """
        [J]
        """
class TurnOff:
    """
    Figures of a turn-off.
    """
    @property
    def channel_heat(self) -> float:
        """
        [J]
        """
    @property
    def current(self) -> float:
        """
        [A]
        """
    @property
    def delay(self) -> float:
        """
        [s]
        """
    @property
    def energy(self) -> float:
        """
        [J]
        """
    @property
    def fall_time(self) -> float:
        """
        [s]
        """
    @property
    def instants(self) -> EdgeInstants:
        ...
    @property
    def maximum_current_slope(self) -> float:
        """
        [A/s]
        """
    @property
    def maximum_voltage_slope(self) -> float:
        """
        [V/s]
        """
    @property
    def minimum_gate_voltage(self) -> float:
        """
        [V]
        """
    @property
    def minimum_gate_voltage_pin(self) -> float:
        """
        [V]
        """
    @property
    def overshoot(self) -> float:
        """
        [V]
        """
    @property
    def peak_drain_voltage(self) -> float:
        """
        [V]
        """
    @property
    def peak_drain_voltage_pin(self) -> float:
        """
        [V]
        """
    @property
    def peak_driver_current(self) -> float:
        """
        [A]
        """
    @property
    def plateau_voltage(self) -> float:
        """
        [V]
        """
    @property
    def ring_decay_time(self) -> float:
        """
        [s]
        """
    @property
    def ring_frequency(self) -> float:
        """
        [Hz]
        """
    @property
    def ring_quality(self) -> float:
        ...
    @property
    def total_energy(self) -> float:
        """
        [J]
        """
class Transient:
    """
    What every study of a single transient brings.
    """
    @property
    def charge_residual(self) -> float:
        ...
    @property
    def energy_residual(self) -> float:
        ...
    @property
    def ledger(self) -> list[EnergyEntry]:
        ...
    @property
    def message(self) -> str:
        ...
    @property
    def statistics(self) -> Statistics:
        ...
    @property
    def status(self) -> Status:
        ...
    @property
    def waveform(self) -> Waveform:
        ...
class SteadyPeriod:
    """
    What every study of a steady state brings.
    """
    @property
    def causes(self) -> list[CauseEnergy]:
        ...
    @property
    def charge_residual(self) -> float:
        ...
    @property
    def corrections(self) -> list[float]:
        ...
    @property
    def energy_residual(self) -> float:
        ...
    @property
    def frequency(self) -> float:
        """
        [Hz]
        """
    @property
    def largest_multiplier(self) -> float:
        ...
    @property
    def ledger(self) -> list[ElementEnergy]:
        ...
    @property
    def message(self) -> str:
        ...
    @property
    def outcome(self) -> PeriodicOutcome:
        ...
    @property
    def periodicity_residual(self) -> float:
        ...
    @property
    def periods(self) -> int:
        ...
    @property
    def runaway(self) -> str:
        """
        Name of the temperature that runs away, else empty.
        """
    @property
    def statistics(self) -> Statistics:
        ...
    @property
    def status(self) -> Status:
        ...
    @property
    def thermal_gain(self) -> float:
        ...
    @property
    def waveform(self) -> Waveform:
        ...
class DoublePulse(Transient):
    """
    One turn-on and one turn-off.
    """
    @property
    def current(self) -> float:
        """
        [A]
        """
    @property
    def off_time(self) -> float:
        """
        [s]
        """
    @property
    def on_time(self) -> float:
        """
        [s]
        """
    @property
    def turn_off(self) -> TurnOff:
        ...
    @property
    def turn_on(self) -> TurnOn:
        ...
class OperatingPoint(SteadyPeriod):
    """
    A cell in steady state.
    """
    @property
    def avalanche_loss(self) -> float:
        """
        [W] breakdown of the MOSFET
        """
    @property
    def channel_loss(self) -> float:
        """
        [W] heat in the MOSFET: channel, drift region, body diode, breakdown
        """
    @property
    def charge_residual(self) -> float:
        """
        [1] of the charge balance
        """
    @property
    def clamp_loss(self) -> float:
        """
        [W] zener, TVS and RCD clamps
        """
    @property
    def conduction_loss(self) -> float:
        """
        [W] channel in the on-state, and its series resistance
        """
    @property
    def driver_at_rest_loss(self) -> float:
        """
        [W] what the driver draws beside the gate's charge
        """
    @property
    def driver_loss(self) -> float:
        """
        [W] heat in the driver's output stage
        """
    @property
    def duty(self) -> float:
        ...
    @property
    def efficiency(self) -> float:
        """
        [1] load power / (load power + losses)
        """
    @property
    def energy_residual(self) -> float:
        """
        [1] of the energy ledger
        """
    @property
    def fall_time(self) -> float:
        """
        [s] tf, IEC 60747-8
        """
    @property
    def freewheel_loss(self) -> float:
        """
        [W] freewheel diode in forward direction
        """
    @property
    def freewheel_temperature(self) -> float:
        """
        [K] of the freewheel diode, found where its cooling is given
        """
    @property
    def gate_loss(self) -> float:
        """
        [W] the gate's charge: driver and gate resistors
        """
    @property
    def incomplete_switching_loss(self) -> float:
        """
        [W] channel of a switch that does not reach both levels
        """
    @property
    def input_power(self) -> float:
        """
        [W] delivered by bus and driver supply
        """
    @property
    def junction_temperature(self) -> float:
        """
        [K] of the MOSFET, found where its cooling is given
        """
    @property
    def load_current_ripple(self) -> float:
        """
        [A] highest less lowest load current
        """
    @property
    def load_power(self) -> float:
        """
        [W] power into the load
        """
    @property
    def maximum_gate_voltage(self) -> float:
        """
        [V] at the die
        """
    @property
    def maximum_turn_off_voltage_slope(self) -> float:
        """
        [V/s] at the die, inside 10 % to 90 %
        """
    @property
    def maximum_turn_on_voltage_slope(self) -> float:
        """
        [V/s] at the die, inside 90 % to 10 %
        """
    @property
    def mean_load_current(self) -> float:
        """
        [A] over the period
        """
    @property
    def minimum_gate_voltage(self) -> float:
        """
        [V] at the die
        """
    @property
    def on_share(self) -> float:
        """
        [1] part of the period, from the turn-on to the end of the turn-off, with the drain below 10 % of the bus
        """
    @property
    def output_capacitance_loss(self) -> float:
        """
        [W] capacitances at the switch node, discharged into the channel
        """
    @property
    def overshoot(self) -> float:
        """
        [V] drain voltage at the pins above the bus
        """
    @property
    def peak_drain_current(self) -> float:
        """
        [A] into the drain pin
        """
    @property
    def peak_drain_voltage(self) -> float:
        """
        [V] at the die
        """
    @property
    def periodicity_residual(self) -> float:
        """
        [1] distance from the periodic state, as a share of the state
        """
    @property
    def recovery_loss(self) -> float:
        """
        [W] stored charge of the freewheel diode, in channel and diode
        """
    @property
    def reverse_conduction_loss(self) -> float:
        """
        [W] body diode, forward
        """
    @property
    def ring_frequency(self) -> float:
        """
        [Hz] of the drain voltage after turn-off
        """
    @property
    def rise_time(self) -> float:
        """
        [s] tr, IEC 60747-8
        """
    @property
    def snubber_loss(self) -> float:
        """
        [W] resistor of the snubber
        """
    @property
    def thermal_gain(self) -> float:
        """
        [1] loop gain of losses and cooling, R dP/dT; at 1 the temperature runs away
        """
    @property
    def total_loss(self) -> float:
        """
        [W] heat in everything but the load
        """
    @property
    def transition_share(self) -> float:
        """
        [1] part of the period, from the turn-on to the end of the turn-off, with the drain between 10 % and 90 % of the bus
        """
    @property
    def turn_off(self) -> TurnOff:
        ...
    @property
    def turn_off_delay(self) -> float:
        """
        [s] td(off), IEC 60747-8
        """
    @property
    def turn_off_energy(self) -> float:
        """
        [J] Eoff, window of IEC 60747-8
        """
    @property
    def turn_off_loss(self) -> float:
        """
        [W] channel from the turn-off on
        """
    @property
    def turn_on(self) -> TurnOn:
        ...
    @property
    def turn_on_delay(self) -> float:
        """
        [s] td(on), IEC 60747-8
        """
    @property
    def turn_on_energy(self) -> float:
        """
        [J] Eon, window of IEC 60747-8
        """
    @property
    def turn_on_loss(self) -> float:
        """
        [W] overlap of voltage and load current in the channel
        """
    @property
    def useful_power(self) -> float:
        """
        [W] of it to a motor's shaft or into LEDs, else all of it
        """
    @property
    def wiring_loss(self) -> float:
        """
        [W] power loop, supply and bulk capacitor
        """
class GateChargeCircuit:
    """
    Constant gate current, clamped load current.
    """
    __hash__: typing.ClassVar[None] = None
    mosfet: Mosfet
    def __eq__(self, arg0: GateChargeCircuit) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    def __init__(self) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    @property
    def drain_current(self) -> float:
        """
        [A]
        """
    @drain_current.setter
    def drain_current(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def drain_voltage(self) -> float:
        """
        [V]
        """
    @drain_voltage.setter
    def drain_voltage(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def gate_current(self) -> float:
        """
        [A]
        """
    @gate_current.setter
    def gate_current(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
class RecoveryCircuit:
    """
    Forced ramp of current through a diode.
    """
    __hash__: typing.ClassVar[None] = None
    part: Mosfet | FreewheelDiode
    def __eq__(self, arg0: RecoveryCircuit) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    def __init__(self) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    @property
    def current_slope(self) -> float:
        """
        [A/s]
        """
    @current_slope.setter
    def current_slope(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def forward_current(self) -> float:
        """
        [A]
        """
    @forward_current.setter
    def forward_current(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def reverse_voltage(self) -> float:
        """
        [V]
        """
    @reverse_voltage.setter
    def reverse_voltage(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
class AvalancheCircuit:
    """
    Unclamped choke in the drain.
    """
    __hash__: typing.ClassVar[None] = None
    mosfet: Mosfet
    def __eq__(self, arg0: AvalancheCircuit) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    def __init__(self) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    @property
    def current(self) -> float:
        """
        [A]
        """
    @current.setter
    def current(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def fall_time(self) -> float:
        """
        [s]
        """
    @fall_time.setter
    def fall_time(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def gate_resistance(self) -> float:
        """
        [ohm]
        """
    @gate_resistance.setter
    def gate_resistance(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def gate_voltage(self) -> float:
        """
        [V]
        """
    @gate_voltage.setter
    def gate_voltage(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def inductance(self) -> float:
        """
        [H]
        """
    @inductance.setter
    def inductance(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def resistance(self) -> float:
        """
        [ohm]
        """
    @resistance.setter
    def resistance(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def supply_voltage(self) -> float:
        """
        [V]
        """
    @supply_voltage.setter
    def supply_voltage(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
class GateChargeTest(Transient):
    """
    Gate charge by a constant gate current.
    """
    @property
    def gate_current(self) -> float:
        """
        [A]
        """
    @property
    def total(self) -> float:
        """
        [C]
        """
class RecoveryTest(Transient):
    """
    Reverse recovery on a forced ramp.
    """
    @property
    def charge(self) -> float:
        """
        [C]
        """
    @property
    def line_time(self) -> float:
        """
        [s]
        """
    @property
    def peak_current(self) -> float:
        """
        [A]
        """
    @property
    def short_time(self) -> float:
        """
        [s]
        """
    @property
    def time(self) -> float:
        """
        [s]
        """
class AvalancheTest(Transient):
    """
    Single-pulse avalanche.
    """
    @property
    def current(self) -> float:
        """
        [A]
        """
    @property
    def energy(self) -> float:
        """
        [J]
        """
    @property
    def peak_voltage(self) -> float:
        """
        [V]
        """
    @property
    def time_in_avalanche(self) -> float:
        """
        [s]
        """
class Side(enum.Enum):
    """
    Which switch of a half bridge.
    """
    high: typing.ClassVar[Side]
    low: typing.ClassVar[Side]
    @classmethod
    def __new__(cls, value):
        ...
class LoadReturn(enum.Enum):
    """
    Where the load current of a half bridge returns to.
    """
    bus: typing.ClassVar[LoadReturn]
    ground: typing.ClassVar[LoadReturn]
    midpoint: typing.ClassVar[LoadReturn]
    @classmethod
    def __new__(cls, value):
        ...
class BridgeSwitch:
    """
    One MOSFET of a half bridge with its driver.
    """
    __hash__: typing.ClassVar[None] = None
    cooled_diode: CooledDiode | None
    cooled_mosfet: CooledMosfet | None
    diode: FreewheelDiode | None
    driver: PushPullDriver
    gate: GatePath
    mosfet: Mosfet
    snubber: Snubber | None
    def __eq__(self, arg0: BridgeSwitch) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    def __init__(self) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    @property
    def common_source_inductance(self) -> float:
        """
        [H]
        """
    @common_source_inductance.setter
    def common_source_inductance(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
class Output:
    """
    What a half bridge feeds through its load.
    """
    __hash__: typing.ClassVar[None] = None
    def __eq__(self, arg0: Output) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    def __init__(self) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    @property
    def capacitance(self) -> float:
        """
        [F]
        """
    @capacitance.setter
    def capacitance(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def capacitor_resistance(self) -> float:
        """
        [ohm]
        """
    @capacitor_resistance.setter
    def capacitor_resistance(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def resistance(self) -> float:
        """
        [ohm]
        """
    @resistance.setter
    def resistance(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def voltage(self) -> float | None:
        """
        [V]
        """
    @voltage.setter
    def voltage(self, arg0: typing.SupportsFloat | typing.SupportsIndex | None) -> None:
        ...
class Bootstrap:
    """
    Capacitor that feeds the driver of the high side.
    """
    __hash__: typing.ClassVar[None] = None
    diode: FreewheelDiode
    def __eq__(self, arg0: Bootstrap) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    def __init__(self) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    @property
    def capacitance(self) -> float:
        """
        [F]
        """
    @capacitance.setter
    def capacitance(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def resistance(self) -> float:
        """
        [ohm]
        """
    @resistance.setter
    def resistance(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def supply_voltage(self) -> float:
        """
        [V]
        """
    @supply_voltage.setter
    def supply_voltage(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
class HalfBridgeCell:
    """
    Two MOSFETs in series, the load between them.
    """
    __hash__: typing.ClassVar[None] = None
    bootstrap: Bootstrap | None
    high: BridgeSwitch
    load: Load
    load_return: LoadReturn
    low: BridgeSwitch
    output: Output | None
    supply: Supply
    def __eq__(self, arg0: HalfBridgeCell) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    def __init__(self) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    @property
    def loop_inductance(self) -> float:
        """
        [H]
        """
    @loop_inductance.setter
    def loop_inductance(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def loop_resistance(self) -> float:
        """
        [ohm]
        """
    @loop_resistance.setter
    def loop_resistance(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
class Commutation:
    """
    What two switches in series do to each other.
    """
    @property
    def capacitive_charge(self) -> float:
        """
        [C]
        """
    @property
    def dead_time_needed(self) -> float:
        """
        [s]
        """
    @property
    def diode_conduction_energy(self) -> float:
        """
        [J]
        """
    @property
    def gate_gap(self) -> float:
        """
        [s]
        """
    @property
    def incoming_on(self) -> float:
        """
        [s]
        """
    @property
    def induced_gate_voltage(self) -> float:
        """
        [V]
        """
    @property
    def minimum_gate_voltage(self) -> float:
        """
        [V]
        """
    @property
    def outgoing_off(self) -> float:
        """
        [s]
        """
    @property
    def peak_reverse_current(self) -> float:
        """
        [A]
        """
    @property
    def recovery_charge(self) -> float:
        """
        [C]
        """
    @property
    def recovery_energy(self) -> float:
        """
        [J]
        """
    @property
    def shoot_through_charge(self) -> float:
        """
        [C]
        """
    @property
    def shoot_through_energy(self) -> float:
        """
        [J]
        """
    @property
    def threshold_margin(self) -> float:
        """
        [V]
        """
    @property
    def voltage_at_turn_on(self) -> float:
        """
        [V]
        """
class HalfBridgeRequest:
    """
    Current, dead time and times; 0 chooses.
    """
    __hash__: typing.ClassVar[None] = None
    active: Side
    def __eq__(self, arg0: HalfBridgeRequest) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    def __init__(self) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    @property
    def current(self) -> float:
        """
        [A]
        """
    @current.setter
    def current(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def dead_time(self) -> float:
        """
        [s]
        """
    @dead_time.setter
    def dead_time(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def off_time(self) -> float:
        """
        [s]
        """
    @off_time.setter
    def off_time(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def on_time(self) -> float:
        """
        [s]
        """
    @on_time.setter
    def on_time(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
class HalfBridgeEdges(Transient):
    """
    Both commutations of a half bridge.
    """
    @property
    def current(self) -> float:
        """
        [A]
        """
    @property
    def from_active(self) -> Commutation:
        ...
    @property
    def off_time(self) -> float:
        """
        [s]
        """
    @property
    def on_time(self) -> float:
        """
        [s]
        """
    @property
    def to_active(self) -> Commutation:
        ...
    @property
    def turn_off(self) -> TurnOff:
        ...
    @property
    def turn_on(self) -> TurnOn:
        ...
class BridgeOperation:
    """
    How a half bridge is run.
    """
    __hash__: typing.ClassVar[None] = None
    active: Side
    def __eq__(self, arg0: BridgeOperation) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    def __init__(self) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    @property
    def dead_time(self) -> float:
        """
        [s]
        """
    @dead_time.setter
    def dead_time(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def duty(self) -> float:
        ...
    @duty.setter
    def duty(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def frequency(self) -> float:
        """
        [Hz]
        """
    @frequency.setter
    def frequency(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
class HalfBridgePointRequest:
    """
    Operation and limits of the search.
    """
    __hash__: typing.ClassVar[None] = None
    operation: BridgeOperation
    def __eq__(self, arg0: HalfBridgePointRequest) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    def __init__(self) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    @property
    def maximum_periods(self) -> int:
        ...
    @maximum_periods.setter
    def maximum_periods(self, arg0: typing.SupportsInt | typing.SupportsIndex) -> None:
        ...
    @property
    def periodicity_tolerance(self) -> float:
        ...
    @periodicity_tolerance.setter
    def periodicity_tolerance(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
class SwitchFigures:
    """
    What one side of a half bridge does over a period.
    """
    @property
    def diode_loss(self) -> float:
        """
        [W]
        """
    @property
    def diode_temperature(self) -> float:
        """
        [K]
        """
    @property
    def driver_loss(self) -> float:
        """
        [W]
        """
    @property
    def junction_temperature(self) -> float:
        """
        [K]
        """
    @property
    def loss(self) -> float:
        """
        [W]
        """
    @property
    def maximum_gate_voltage(self) -> float:
        """
        [V]
        """
    @property
    def minimum_gate_voltage(self) -> float:
        """
        [V]
        """
    @property
    def peak_drain_voltage(self) -> float:
        """
        [V]
        """
    @property
    def rms_current(self) -> float:
        """
        [A]
        """
class HalfBridgePoint(SteadyPeriod):
    """
    A half bridge in steady state.
    """
    @property
    def efficiency(self) -> float:
        ...
    @property
    def from_active(self) -> Commutation:
        ...
    @property
    def high(self) -> SwitchFigures:
        ...
    @property
    def high_supply_maximum(self) -> float:
        """
        [V]
        """
    @property
    def high_supply_minimum(self) -> float:
        """
        [V]
        """
    @property
    def input_power(self) -> float:
        """
        [W]
        """
    @property
    def load_current_ripple(self) -> float:
        """
        [A]
        """
    @property
    def load_power(self) -> float:
        """
        [W]
        """
    @property
    def low(self) -> SwitchFigures:
        ...
    @property
    def mean_load_current(self) -> float:
        """
        [A]
        """
    @property
    def mean_switch_voltage(self) -> float:
        """
        [V]
        """
    @property
    def output_ripple(self) -> float:
        """
        [V]
        """
    @property
    def output_voltage(self) -> float:
        """
        [V]
        """
    @property
    def rms_load_current(self) -> float:
        """
        [A]
        """
    @property
    def shoot_through_charge(self) -> float:
        """
        [C]
        """
    @property
    def to_active(self) -> Commutation:
        ...
    @property
    def total_loss(self) -> float:
        """
        [W]
        """
    @property
    def turn_off(self) -> TurnOff:
        ...
    @property
    def turn_on(self) -> TurnOn:
        ...
class PointStatus(enum.Enum):
    """
    What became of one point of a sweep.
    """
    done: typing.ClassVar[PointStatus]
    failed: typing.ClassVar[PointStatus]
    invalid: typing.ClassVar[PointStatus]
    not_periodic: typing.ClassVar[PointStatus]
    not_run: typing.ClassVar[PointStatus]
    ringing: typing.ClassVar[PointStatus]
    thermal_runaway: typing.ClassVar[PointStatus]
    unstable: typing.ClassVar[PointStatus]
    @classmethod
    def __new__(cls, value):
        ...
class SweepResult:
    """
    Figures of many steady states.
    """
    @property
    def cancelled(self) -> bool:
        ...
    @property
    def figures(self) -> numpy.typing.NDArray[numpy.float64]:
        """
        (points, figures)
        """
    @property
    def messages(self) -> list[str]:
        ...
    @property
    def status(self) -> list[PointStatus]:
        ...
class Figure:
    """
    One scalar figure of a steady state.
    """
    @property
    def meaning(self) -> str:
        ...
    @property
    def name(self) -> str:
        ...
    @property
    def unit(self) -> str:
        ...
class InductiveTurnOffRequest:
    """
    Current and when it counts as gone.
    """
    __hash__: typing.ClassVar[None] = None
    def __eq__(self, arg0: InductiveTurnOffRequest) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    def __init__(self) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    @property
    def current(self) -> float:
        """
        [A]
        """
    @current.setter
    def current(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    @property
    def remaining_share(self) -> float:
        ...
    @remaining_share.setter
    def remaining_share(self, arg0: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
class InductiveTurnOff(Transient):
    """
    Release of an inductive load.
    """
    @property
    def breakdown_energy(self) -> float:
        """
        [J]
        """
    @property
    def channel_energy(self) -> float:
        """
        [J]
        """
    @property
    def clamp_energy(self) -> float:
        """
        [J]
        """
    @property
    def energy_by_hand(self) -> float:
        """
        [J]
        """
    @property
    def load_energy(self) -> float:
        """
        [J]
        """
    @property
    def maximum_gate_voltage(self) -> float:
        """
        [V]
        """
    @property
    def peak_drain_voltage(self) -> float:
        """
        [V]
        """
    @property
    def plateau_voltage(self) -> float:
        """
        [V]
        """
    @property
    def release_time(self) -> float:
        """
        [s]
        """
    @property
    def release_time_by_hand(self) -> float:
        """
        [s]
        """
    @property
    def turn_off(self) -> TurnOff:
        ...
class ParallelCell:
    """
    Low-side cell with several MOSFETs in parallel.
    """
    __hash__: typing.ClassVar[None] = None
    cell: LowSideCell
    def __eq__(self, arg0: ParallelCell) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    def __init__(self) -> None:
        ...
    def __repr__(self) -> str:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    @property
    def further(self) -> list[Mosfet]:
        ...
    @further.setter
    def further(self, arg0: collections.abc.Sequence[Mosfet]) -> None:
        ...
class SharedFigures:
    """
    What one of several MOSFETs does.
    """
    @property
    def on_current(self) -> float:
        """
        [A]
        """
    @property
    def peak_turn_off_current(self) -> float:
        """
        [A]
        """
    @property
    def peak_turn_on_current(self) -> float:
        """
        [A]
        """
    @property
    def turn_off_energy(self) -> float:
        """
        [J]
        """
    @property
    def turn_off_time(self) -> float:
        """
        [s]
        """
    @property
    def turn_on_energy(self) -> float:
        """
        [J]
        """
    @property
    def turn_on_time(self) -> float:
        """
        [s]
        """
class CurrentSharing:
    """
    A double pulse of MOSFETs in parallel.
    """
    @property
    def mosfets(self) -> list[SharedFigures]:
        ...
    @property
    def pulse(self) -> DoublePulse:
        ...
def avalanche_test(test: AvalancheCircuit, settings: Settings) -> AvalancheTest:
    """
    Turns off into the choke until its current is spent.
    """
@typing.overload
def capacitance(law: ConstantCapacitance, voltage: typing.Annotated[numpy.typing.ArrayLike, numpy.float64]) -> float | numpy.typing.NDArray[numpy.float64]:
    """
    Capacitance [F] at the voltage [V].
    """
@typing.overload
def capacitance(law: DepletionCapacitance, voltage: typing.Annotated[numpy.typing.ArrayLike, numpy.float64]) -> float | numpy.typing.NDArray[numpy.float64]:
    """
    Capacitance [F] at the voltage [V].
    """
@typing.overload
def capacitance(law: StepCapacitance, voltage: typing.Annotated[numpy.typing.ArrayLike, numpy.float64]) -> float | numpy.typing.NDArray[numpy.float64]:
    """
    Capacitance [F] at the voltage [V].
    """
def channel_current(law: MosfetChannel, gate_source_voltage: typing.Annotated[numpy.typing.ArrayLike, numpy.float64], drain_source_voltage: typing.Annotated[numpy.typing.ArrayLike, numpy.float64]) -> float | numpy.typing.NDArray[numpy.float64]:
    """
    Drain current [A] of the channel at its gate-source and drain-source voltages [V].
    """
@typing.overload
def charge(law: ConstantCapacitance, voltage: typing.Annotated[numpy.typing.ArrayLike, numpy.float64]) -> float | numpy.typing.NDArray[numpy.float64]:
    """
    Charge [C] from 0 to the voltage [V].
    """
@typing.overload
def charge(law: DepletionCapacitance, voltage: typing.Annotated[numpy.typing.ArrayLike, numpy.float64]) -> float | numpy.typing.NDArray[numpy.float64]:
    """
    Charge [C] from 0 to the voltage [V].
    """
@typing.overload
def charge(law: StepCapacitance, voltage: typing.Annotated[numpy.typing.ArrayLike, numpy.float64]) -> float | numpy.typing.NDArray[numpy.float64]:
    """
    Charge [C] from 0 to the voltage [V].
    """
def clipped(waveform: Waveform, window: Window) -> Window:
    """
    What the waveform covers of a window.
    """
def crossings(waveform: Waveform, channel: str, level: typing.SupportsFloat | typing.SupportsIndex, window: Window) -> list[Crossing]:
    """
    All crossings of a level, in order of time.
    """
def current_sharing(cell: ParallelCell, request: DoublePulseRequest, settings: Settings) -> CurrentSharing:
    """
    One turn-on and one turn-off of MOSFETs in parallel.
    """
def diode_at_temperature(diode: JunctionDiode, coefficients: DiodeTemperature, warming: Warming) -> JunctionDiode:
    """
    The diode law at another junction temperature.
    """
def diode_current(law: JunctionDiode, voltage: typing.Annotated[numpy.typing.ArrayLike, numpy.float64]) -> float | numpy.typing.NDArray[numpy.float64]:
    """
    Static current [A] at the junction voltage [V].
    """
def double_pulse(cell: LowSideCell, request: DoublePulseRequest, settings: Settings) -> DoublePulse:
    """
    One turn-on and one turn-off.
    """
def driver_current(law: DriverOutput, up: typing.Annotated[numpy.typing.ArrayLike, numpy.float64], down: typing.Annotated[numpy.typing.ArrayLike, numpy.float64], command: typing.Annotated[numpy.typing.ArrayLike, numpy.float64]) -> float | numpy.typing.NDArray[numpy.float64]:
    """
    Current [A] out of the output; `up` from output to supply [V], `down` from reference to output [V], command 0 (sinks) to 1 (sources).
    """
def first_crossing(waveform: Waveform, channel: str, level: typing.SupportsFloat | typing.SupportsIndex, direction: Direction, window: Window) -> float | None:
    """
    Time [s] of the first crossing in one direction, or None.
    """
def gate_charge_test(test: GateChargeCircuit, gate_voltage: typing.SupportsFloat | typing.SupportsIndex, settings: Settings) -> GateChargeTest:
    """
    Charges the gate from 0 V to gate_voltage [V]; a gate current of 0 chooses one.
    """
def half_bridge_edges(cell: HalfBridgeCell, request: HalfBridgeRequest, settings: Settings) -> HalfBridgeEdges:
    """
    Both commutations of a half bridge.
    """
def half_bridge_point(cell: HalfBridgeCell, request: HalfBridgePointRequest, settings: Settings) -> HalfBridgePoint:
    """
    The steady state of a half bridge.
    """
def half_bridge_point_figures() -> list[Figure]:
    """
    The figures of a half-bridge point, in the order of the columns of a sweep.
    """
def half_bridge_sweep(cells: collections.abc.Sequence[HalfBridgeCell], points: collections.abc.Sequence[tuple[typing.SupportsInt | typing.SupportsIndex, typing.SupportsFloat | typing.SupportsIndex, typing.SupportsFloat | typing.SupportsIndex, typing.SupportsFloat | typing.SupportsIndex, Side]], settings: Settings, threads: typing.SupportsInt | typing.SupportsIndex, progress: collections.abc.Callable[[SweepResult, list[int]], None]) -> tuple[SweepResult, typing.Any]:
    """
    As sweep(): points by index of the bridge, frequency [Hz], duty, dead time [s] and active switch.
    """
def inductive_turn_off(cell: LowSideCell, request: InductiveTurnOffRequest, settings: Settings) -> InductiveTurnOff:
    """
    Turn-off of an inductive load current.
    """
def integral(waveform: Waveform, channel: str, window: Window) -> float:
    """
    Integral over time [unit s]; of a current, the charge [C].
    """
def integral_of_product(waveform: Waveform, channel: str, other: str, window: Window) -> float:
    """
    Integral of the product of two channels; of a voltage and a current, the energy [J].
    """
def knee_current(law: KneeConduction, voltage: typing.Annotated[numpy.typing.ArrayLike, numpy.float64]) -> float | numpy.typing.NDArray[numpy.float64]:
    """
    Current [A] at the voltage [V].
    """
def last_crossing(waveform: Waveform, channel: str, level: typing.SupportsFloat | typing.SupportsIndex, direction: Direction, window: Window) -> float | None:
    """
    Time [s] of the last crossing in one direction, or None.
    """
def main_transition(waveform: Waveform, channel: str, from_level: typing.SupportsFloat | typing.SupportsIndex, to_level: typing.SupportsFloat | typing.SupportsIndex, window: Window) -> Window | None:
    """
    From the last crossing of one level to the first of the other, spikes ignored; or None.
    """
def maximum(waveform: Waveform, channel: str, window: Window) -> Extremum:
    """
    Highest value, between nodes too.
    """
def maximum_slope(waveform: Waveform, channel: str, window: Window) -> Extremum:
    """
    Fastest rise [unit/s].
    """
def mean(waveform: Waveform, channel: str, window: Window) -> float:
    """
    Average over time [unit].
    """
def minimum(waveform: Waveform, channel: str, window: Window) -> Extremum:
    """
    Lowest value, between nodes too.
    """
def minimum_slope(waveform: Waveform, channel: str, window: Window) -> Extremum:
    """
    Fastest fall [unit/s], negative.
    """
def mosfet_at_temperature(mosfet: Mosfet, coefficients: MosfetTemperature, body_diode: DiodeTemperature, warming: Warming) -> Mosfet:
    """
    The MOSFET at another junction temperature.
    """
def operating_point(cell: LowSideCell, request: OperatingPointRequest, settings: Settings) -> OperatingPoint:
    """
    A cell in steady state.
    """
def operating_point_figures() -> list[Figure]:
    """
    The figures of an operating point, in the order of the columns of a sweep.
    """
def opposing_voltage(load: Load, current: typing.SupportsFloat | typing.SupportsIndex) -> float:
    """
    What stands against a load current [A] beside resistance and inductance [V].
    """
def overshoot(waveform: Waveform, channel: str, initial: typing.SupportsFloat | typing.SupportsIndex, settled: typing.SupportsFloat | typing.SupportsIndex, window: Window) -> Overshoot:
    """
    How far a step goes beyond its settled value.
    """
def plateau(waveform: Waveform, channel: str, window: Window) -> Plateau:
    """
    Gate plateau: where the slope is least while the drain voltage moves.
    """
def recovery_current(law: JunctionDiode, voltage: typing.Annotated[numpy.typing.ArrayLike, numpy.float64], stored_charge_current: typing.Annotated[numpy.typing.ArrayLike, numpy.float64]) -> float | numpy.typing.NDArray[numpy.float64]:
    """
    Current [A] at the junction voltage [V] and the stored charge over the lifetime [A]; transit_time > 0.
    """
def recovery_test(test: RecoveryCircuit, settings: Settings) -> RecoveryTest:
    """
    Runs the ramp until the recovery is over.
    """
def ring(waveform: Waveform, channel: str, settled: typing.SupportsFloat | typing.SupportsIndex, noise_floor: typing.SupportsFloat | typing.SupportsIndex, window: Window) -> Ring | None:
    """
    Ring about a settled value; None with fewer than three half cycles above the noise floor.
    """
def root_mean_square(waveform: Waveform, channel: str, window: Window) -> float:
    """
    Root of the mean square [unit].
    """
def saturation_current_for(forward_voltage: typing.SupportsFloat | typing.SupportsIndex, forward_current: typing.SupportsFloat | typing.SupportsIndex, series_resistance: typing.SupportsFloat | typing.SupportsIndex, emission_voltage: typing.SupportsFloat | typing.SupportsIndex) -> float:
    """
    Saturation current [A] that gives the forward voltage [V] at the forward current [A] behind the series resistance [ohm], for an emission voltage [V].
    """
def settled_current(load: Load, voltage: typing.SupportsFloat | typing.SupportsIndex) -> float:
    """
    Current [A] that a load with a resistance settles at across a constant voltage [V].
    """
def settling_time(waveform: Waveform, channel: str, settled: typing.SupportsFloat | typing.SupportsIndex, tolerance: typing.SupportsFloat | typing.SupportsIndex, window: Window) -> float | None:
    """
    Time [s] from which the channel stays near its settled value.
    """
def steepest_slope(waveform: Waveform, channel: str, window: Window) -> Extremum:
    """
    Slope of largest magnitude [unit/s], with its sign.
    """
@typing.overload
def stored_energy(law: ConstantCapacitance, voltage: typing.Annotated[numpy.typing.ArrayLike, numpy.float64]) -> float | numpy.typing.NDArray[numpy.float64]:
    """
    Energy [J] stored from 0 to the voltage [V].
    """
@typing.overload
def stored_energy(law: DepletionCapacitance, voltage: typing.Annotated[numpy.typing.ArrayLike, numpy.float64]) -> float | numpy.typing.NDArray[numpy.float64]:
    """
    Energy [J] stored from 0 to the voltage [V].
    """
@typing.overload
def stored_energy(law: StepCapacitance, voltage: typing.Annotated[numpy.typing.ArrayLike, numpy.float64]) -> float | numpy.typing.NDArray[numpy.float64]:
    """
    Energy [J] stored from 0 to the voltage [V].
    """
def sweep(cells: collections.abc.Sequence[LowSideCell], points: collections.abc.Sequence[tuple[typing.SupportsInt | typing.SupportsIndex, typing.SupportsFloat | typing.SupportsIndex, typing.SupportsFloat | typing.SupportsIndex]], settings: Settings, threads: typing.SupportsInt | typing.SupportsIndex, progress: collections.abc.Callable[[SweepResult, list[int]], None]) -> tuple[SweepResult, typing.Any]:
    """
    Points by index of the cell, frequency [Hz] and duty, and the exception that ended them early or None. `progress` is called now and then with the rows of the points finished since, and their numbers.
    """
def turn_off_energy(waveform: Waveform, drain_source: str, drain_current: str, limits: EnergyLimits, window: Window) -> float | None:
    """
    Eoff [J] inside its window, or None.
    """
def turn_off_energy_window(waveform: Waveform, drain_source: str, drain_current: str, limits: EnergyLimits, window: Window) -> Window | None:
    """
    Where Eoff is counted, or None.
    """
def turn_off_times(waveform: Waveform, gate_source: str, gate: Levels, drain_source: str, drain: Levels, window: Window) -> EdgeTimes:
    """
    IEC 60747-8 instants of a turn-off.
    """
def turn_on_energy(waveform: Waveform, drain_source: str, drain_current: str, limits: EnergyLimits, window: Window) -> float | None:
    """
    Eon [J] inside its window, or None.
    """
def turn_on_energy_window(waveform: Waveform, drain_source: str, drain_current: str, limits: EnergyLimits, window: Window) -> Window | None:
    """
    Where Eon is counted, or None.
    """
def turn_on_times(waveform: Waveform, gate_source: str, gate: Levels, drain_source: str, drain: Levels, window: Window) -> EdgeTimes:
    """
    IEC 60747-8 instants of a turn-on.
    """
def whole(waveform: Waveform) -> Window:
    """
    The window of all the waveform.
    """
__version__: str = '0.1.0'
