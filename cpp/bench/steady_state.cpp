// CPU time to the steady state of a sweep's points against that of letting periods pass.
//
// The sweep is one of frequency and gate resistance of a stage whose load, L/R of 0.4 ms, is slower than its periods,
// and includes the recorded period and its figures. Both run on the scalar solver. Brute force begins each point in the
// same state and ends when it has come as close to the answer, which it is told, as the sweep's tolerance asks: better
// than it could know. Exit code 0 only if every point is periodic and brute force arrives there too.
#include <cstdio>

#include "gateswing/simulate/periodic_state.h"
#include "gateswing/study/sweep.h"
#include "gateswing/study/switched_cell.h"
#include "shared/demonstration_cell.h"
#include "shared/json_line.h"
#include "shared/timing.h"

namespace {

using namespace gateswing;

constexpr simulate::Settings settings;
constexpr double tolerance = 1e-5;  // as a sweep has it
constexpr int most_periods = 5000;

network::LowSideCell cell_with(double gate_resistance) {
  network::LowSideCell cell = bench::demonstration_cell();
  cell.load.inductance = 2e-3;
  cell.gate.turn_on_resistance = gate_resistance;
  return cell;
}

/// Periods simulated from the first guess to the distance asked for; 0 where that many did not suffice.
int brute_force(const study::SweepPoint& point) {
  const study::SwitchedCell switched(point.cell, point.request.frequency, point.request.duty);
  const simulate::PeriodicCircuit circuit = switched.circuit();
  const simulate::PeriodicState answer =
      simulate::find_periodic_state(circuit, {.tolerance = 0.1 * tolerance}, settings);
  if (answer.outcome != simulate::PeriodicOutcome::periodic) return 0;
  simulate::PeriodMap map(circuit, settings);
  simulate::PeriodStart start = map.initial();
  // Resistive voltages follow from the others, and are no more than a guess in a start.
  const Eigen::Index size = circuit.network(start.temperatures).differential_size;
  const Eigen::ArrayXd wanted = answer.start.state.head(size);
  const double begin = bench::cpu_seconds();
  int periods = 0;
  double distance = 1.0;
  for (; distance > tolerance && periods < most_periods; ++periods) {
    start.state = map.run(start).state;
    distance = ((start.state.head(size).array() - wanted).abs() / (1.0 + wanted.abs())).maxCoeff();
  }
  bench::JsonLine("brute force")
      .add("frequency", point.request.frequency)
      .add("duty", point.request.duty)
      .add("periods", periods)
      .add("seconds", bench::cpu_seconds() - begin);
  return distance <= tolerance ? periods : 0;
}

}  // namespace

int main() {
  const std::vector<network::LowSideCell> cells{cell_with(4.7), cell_with(22.0)};
  const std::vector<double> frequencies{20e3, 100e3, 500e3}, duties{0.5};
  const std::vector<study::SweepPoint> points = study::all_combinations(cells, frequencies, duties);
  bool right = true;
  const double seconds = bench::median_seconds([&] {
    const double begin = bench::cpu_seconds();
    const study::SweepResult result =
        study::sweep(points, settings, 1, [](const auto&, const auto&) { return true; }, {});
    for (const study::PointStatus status : result.status) right = right && status == study::PointStatus::done;
    return bench::cpu_seconds() - begin;
  });
  bench::JsonLine("steady state").add("points", static_cast<double>(points.size())).add("seconds", seconds);
  for (const study::SweepPoint& point : points) right = brute_force(point) > 0 && right;
  return right ? 0 : 1;
}
