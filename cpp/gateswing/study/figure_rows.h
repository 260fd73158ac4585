// Rows of the tables of figures, and the figures that they become.
#pragma once

#include <array>
#include <span>
#include <string>
#include <vector>

#include "gateswing/study/figures.h"
#include "gateswing/study/loss_causes.h"

namespace gateswing::study {

/// A figure of a part of an answer, or of the answer itself.
template <class Part>
struct FigureRow {
  const char* name;
  const char* unit;
  const char* meaning;
  double (*read)(const Part&);
};

/// What a chain of members leads to.
template <auto... members, class Part>
double value(const Part& part) {
  return (part.*....*members);
}

/// Mean power lost for one cause [W].
template <LossCause cause, class Answer>
double power_of_cause(const Answer& answer) {
  return answer.causes.empty() ? no_figure : answer.frequency * energy_of(answer.causes, cause);
}

/// Of the edges of the switch that a duty is stated for.
template <class Answer>
inline constexpr std::array edge_rows{
    FigureRow<Answer>{"turn_on_delay", "s", "td(on), IEC 60747-8", value<&Answer::turn_on, &TurnOnFigures::delay>},
    FigureRow<Answer>{"rise_time", "s", "tr, IEC 60747-8", value<&Answer::turn_on, &TurnOnFigures::rise_time>},
    FigureRow<Answer>{"turn_on_energy", "J", "Eon, window of IEC 60747-8",
                      value<&Answer::turn_on, &TurnOnFigures::energy>},
    FigureRow<Answer>{"turn_off_delay", "s", "td(off), IEC 60747-8", value<&Answer::turn_off, &TurnOffFigures::delay>},
    FigureRow<Answer>{"fall_time", "s", "tf, IEC 60747-8", value<&Answer::turn_off, &TurnOffFigures::fall_time>},
    FigureRow<Answer>{"turn_off_energy", "J", "Eoff, window of IEC 60747-8",
                      value<&Answer::turn_off, &TurnOffFigures::energy>},
    FigureRow<Answer>{"maximum_turn_on_voltage_slope", "V/s", "at the die, inside 90 % to 10 %",
                      value<&Answer::turn_on, &TurnOnFigures::maximum_voltage_slope>},
    FigureRow<Answer>{"maximum_turn_off_voltage_slope", "V/s", "at the die, inside 10 % to 90 %",
                      value<&Answer::turn_off, &TurnOffFigures::maximum_voltage_slope>},
    FigureRow<Answer>{"ring_frequency", "Hz", "of the drain voltage after turn-off",
                      value<&Answer::turn_off, &TurnOffFigures::ring_frequency>},
};

/// How far to trust the others.
template <class Answer>
inline constexpr std::array trust_rows{
    FigureRow<Answer>{"thermal_gain", "1", "loop gain of losses and cooling, R dP/dT; at 1 the temperature runs away",
                      value<&Answer::thermal_gain>},
    FigureRow<Answer>{"periodicity_residual", "1", "distance from the periodic state, as a share of the state",
                      value<&Answer::periodicity_residual>},
    FigureRow<Answer>{"energy_residual", "1", "of the energy ledger", value<&Answer::energy_residual>},
    FigureRow<Answer>{"charge_residual", "1", "of the charge balance", value<&Answer::charge_residual>},
};

/// Adds figures that `part` picks out of an answer: name behind `prefix`, meaning behind `whose`.
template <class Answer, class Part, class Pick>
void add_figures(std::span<const FigureRow<Part>> rows, const std::string& prefix, const std::string& whose,
                 const Pick& part, std::vector<Figure<Answer>>& figures) {
  for (const FigureRow<Part>& row : rows) {
    figures.push_back({prefix + row.name, row.unit, whose + row.meaning,
                       [read = row.read, part](const Answer& answer) { return read(part(answer)); }});
  }
}

/// Adds figures of an answer itself.
template <class Answer>
void add_figures(std::span<const FigureRow<Answer>> rows, std::vector<Figure<Answer>>& figures) {
  for (const FigureRow<Answer>& row : rows) figures.push_back({row.name, row.unit, row.meaning, row.read});
}

}  // namespace gateswing::study
