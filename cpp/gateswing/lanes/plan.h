// The structure that networks of one topology share, compiled to flat lists for an evaluation on packs of lanes.
#pragma once

#include <vector>

#include "gateswing/lanes/elimination.h"

namespace gateswing::lanes {

using PortIndex = int;  ///< as network::PortIndex

/// A sum into one slot of an array.
struct Stamp {
  int slot;
  double sign;
};

/// Lists of T, list i from past[i - 1] to past[i].
template <class T>
struct Lists {
  std::vector<T> items;
  std::vector<int> past;

  void close() { past.push_back(static_cast<int>(items.size())); }
};

/// Where each value of a lane lies in its memory, counted in packs. The first part is written by PackMemory, `state` to
/// `control` are carried from step to step, the rest is scratch.
struct Layout {
  int channel_laws, diode_laws, knee_laws, driver_laws, depletion_laws, step_laws;
  int conductances, source_weights, constant_mass;
  int form_weights, form_values, form_slopes, command_values, command_slopes;
  int state, integrals, control;
  int forms, base_forms, currents, base_currents, slopes, current_rates;
  int mass, minus_jacobian, matrix, inverse_pivots, block, base_block, capacitance_slopes;
  int time_derivative, start_residual, start_integrand, scratch;
  int stages, stage_state, coupling, end_state, step_integrals;
  int dense_start, dense_end, dense_shape;
  int size;
};

/// What the stepper remembers of each lane, in this order from Layout::control.
enum Control {
  elapsed,    ///< since the segment of the inputs began [s]
  duration,   ///< of the segment [s]; reaching it ends the lane's part
  next_step,  ///< [s]; 0 has the first step estimated
  previous_step,
  previous_log_error,
  just_rejected,
  steps,
  rejections,
  first_steps,  ///< how often the first step was estimated
  step_begin,   ///< of the last accepted step, as `elapsed` [s]
  control_size
};

/// Linear forms of state and inputs, in this order: f of each state, voltage of each port, of each resistor, of each
/// source, current of each source. Integrals are those of network::NetworkSystem.
struct Plan {
  struct FormRun {
    bool driven;  ///< inputs are among their terms
    int terms;    ///< states
    int past;     ///< index behind its last form
  };
  /// A form that is one state or its negative: most voltages of ports are.
  struct Copy {
    int form, state;
    double sign;
  };
  /// A weight of a form of f is an entry of J.
  struct LinearTerm {
    int slot, weight;
  };
  struct Slope {
    PortIndex row, column;
  };
  struct Channel {
    PortIndex gate_source, drain_source;
  };
  struct Diode {
    PortIndex port, charge;  ///< charge -1: no recovery
  };
  struct Driver {
    PortIndex upper, lower;
  };

  int states = 0, variable_size = 0, ports = 0, resistors = 0, sources = 0, integrals = 0;
  std::vector<char> algebraic;  ///< by row: M has nothing there

  std::vector<Copy> copies;
  std::vector<int> form_order;     ///< all other forms as they lie in memory: driven first, then by number of terms
  std::vector<FormRun> form_runs;  ///< of forms with as many terms, in that order
  std::vector<int> form_states;    ///< what the terms weigh, likewise
  int driven_forms = 0;
  Lists<int> source_ports;
  std::vector<Channel> channels;
  std::vector<Diode> diodes;
  std::vector<PortIndex> knees;
  std::vector<Driver> drivers;
  std::vector<PortIndex> capacitors;  ///< depletion layers, then steps
  int depletions = 0;

  std::vector<PortIndex> conducting;
  Lists<Stamp> current_stamps;  ///< rows of f that the current of conducting[i] leaves
  std::vector<Slope> slopes;
  Lists<Stamp> slope_stamps;  ///< slots of J, by slope
  Elimination elimination;
  std::vector<LinearTerm> linear_terms;
  Lists<int> mass_columns;          ///< by row
  std::vector<int> mass_slots;      ///< slot of the step matrix of each entry of M
  Lists<Stamp> mass_stamps;         ///< entries of M, by capacitor
  Lists<Stamp> block_stamps;        ///< places of the variable block of M (row-major), by capacitor
  Lists<Stamp> capacitor_stamps;    ///< slots of J, by capacitor
  Lists<Stamp> rate_terms;          ///< rates that make dv/dt, by capacitor
  std::vector<int> constant_block;  ///< entry of M at each place of the variable block, -1 for none
  Layout layout{};
};

}  // namespace gateswing::lanes
