#include "gateswing/simulate/periodic_state.h"

#include <algorithm>
#include <array>
#include <cstdio>

namespace gateswing::simulate {
namespace {

using Eigen::Index;
using Eigen::VectorXd;
using integrate::Status;

constexpr int first_periods = 2;  // the fast states come to rest meanwhile
// Of a correction what the next run still asks for by the same differences: they then serve once more, and reduce the
// error at least as well.
constexpr double nearly_linear = 1e-2;
// Loop gain from which on a correction that does not help means a balance just lost: the residual has a least value
// there, and on its far side the heat feeds itself.
constexpr double nearly_runaway = 0.9;
constexpr double largest_warming = 50.0;  // of a junction in one correction [K]

std::string text(const char* format, double value) {
  std::array<char, 64> buffer{};
  std::snprintf(buffer.data(), buffer.size(), format, value);
  return buffer.data();
}

class Search {
 public:
  Search(const PeriodicCircuit& circuit, const PeriodicRequest& request, const Settings& settings)
      : request_(request), map_(circuit, settings), start_(map_.initial()) {}

  PeriodicState run() {
    if (march(first_periods + 1)) {
      while (linearize() && !finished() && improve()) {
      }
    }
    result_.start = start_;
    result_.periods = map_.periods();
    result_.statistics = map_.statistics();
    if (result_.correction) {
      result_.thermal_gain = correction().thermal_gain();
      result_.largest_multiplier = correction().largest_multiplier();
    }
    if (result_.status == Status::success) judge();
    return std::move(result_);
  }

 private:
  /// Runs periods as they come; `start_` and `end_` are begin and end of the last.
  bool march(int periods) {
    for (int k = 0; k < periods; ++k) {
      if (k > 0) start_.state = end_.state;
      end_ = map_.run(start_);
      if (end_.status != Status::success) {
        result_.status = end_.status;
        result_.message = integrate::sentence(end_.status);
        return false;
      }
    }
    return true;
  }

  /// A begin about which the differences have no value is left by marching, twice.
  bool linearize() {
    for (int failures = 0; failures < 3; ++failures) {
      if (failures > 0 && !march_on()) return false;
      const std::optional<PeriodCorrection> earlier = std::move(result_.correction);
      result_.correction.emplace(map_, start_, end_, still_holds_ && earlier ? &*earlier : nullptr);
      still_holds_ = false;
      if (!correction().found()) continue;
      result_.corrections.push_back(correction().change().size);
      return true;
    }
    if (gave_up_on_ring()) return false;
    result_.message =
        "a period amplifies the smallest deviations beyond bounds, as an oscillation of its own does: no periodic "
        "state was found";
    return false;
  }

  bool gave_up_on_ring() {
    if (!map_.rings()) return false;
    result_.outcome = PeriodicOutcome::ringing;
    return true;
  }

  /// For twice as many periods as the last time.
  bool march_on() {
    constexpr int patience = 2 * first_periods;  // two marches
    if (map_.is_cancelled()) return march(1);
    if (marched_ >= patience && gave_up_on_ring()) return false;
    marched_ = std::max(first_periods, 2 * marched_);
    return march(std::clamp(request_.maximum_periods - map_.periods(), 1, marched_));
  }

  bool finished() {
    const PeriodCorrection::Change& change = correction().change();
    if (change.size <= request_.tolerance && !warms_itself()) {
      apply(change, 1.0);
      result_.outcome = PeriodicOutcome::periodic;
      return true;
    }
    return map_.periods() >= request_.maximum_periods || overheated();
  }

  /// There is one from the first linearization on.
  [[nodiscard]] const PeriodCorrection& correction() const {
    return *result_.correction;  // NOLINT(bugprone-unchecked-optional-access)
  }

  bool heats_up() const {
    return start_.temperatures.size() > 0 && correction().heating(start_, end_).maxCoeff() > 0.0;
  }

  /// The junctions are heating up, and there is no balance in reach: by the loop gain no higher temperature is one, or
  /// the nearest is beyond the highest.
  bool warms_itself() const {
    if (!heats_up()) return false;
    const Eigen::VectorXd balance = start_.temperatures + correction().change().temperatures;
    return correction().thermal_gain() >= 1.0 || balance.maxCoeff() > request_.highest_temperature;
  }

  /// Of several at the highest temperature it is the one that would go furthest beyond it.
  bool overheated() {
    const Eigen::VectorXd& change = correction().change().temperatures;
    std::optional<Index> worst;
    for (Index j = 0; j < start_.temperatures.size(); ++j) {
      const bool goes_on = warms_itself() || change[j] > 0.0;
      if (start_.temperatures[j] < request_.highest_temperature || !goes_on) continue;
      if (!worst || change[j] > change[*worst]) worst = j;
    }
    if (!worst) return false;
    result_.outcome = PeriodicOutcome::thermal_runaway;
    result_.runaway = static_cast<std::size_t>(*worst);
    return true;
  }

  /// One damped correction, or a march where none helps.
  bool improve() {
    if (warms_itself()) return warm();
    const PeriodStart from = start_;
    const PeriodEnd reached = end_;
    const PeriodCorrection::Change change = correction().change();
    double damping = 2.0 * bounded(change);
    while ((damping *= 0.5) >= smallest_damping) {
      start_ = from;
      apply(change, damping);
      end_ = map_.run(start_);
      if (end_.status == Status::cancelled) break;
      if (end_.status != Status::success) continue;
      const double left = correction().change_after(start_, end_).size;
      still_holds_ = left <= nearly_linear * change.size;
      if (left <= (1.0 - 0.25 * damping) * change.size || at_limit()) return true;
    }
    start_ = from;
    still_holds_ = false;
    if (end_.status == Status::cancelled) return march(1);
    end_ = reached;
    return heats_up() && correction().thermal_gain() > nearly_runaway ? warm() : march_on();
  }

  /// Up by what the heat asks for, the electrical state on its way to the periodic one at the temperatures now.
  bool warm() {
    PeriodCorrection::Change change = correction().electrical_change();
    change.temperatures = correction().heating(start_, end_).cwiseMax(0.0).cwiseMin(largest_warming);
    apply(change, 1.0);
    return march(1);
  }

  /// The part of a correction that keeps the junctions within largest_warming and the highest temperature.
  double bounded(const PeriodCorrection::Change& change) const {
    double part = 1.0;
    for (Index j = 0; j < change.temperatures.size(); ++j) {
      part = std::min(part, largest_warming / std::max(std::abs(change.temperatures[j]), largest_warming));
    }
    return part;
  }

  bool at_limit() const {
    return start_.temperatures.size() > 0 && start_.temperatures.maxCoeff() >= request_.highest_temperature;
  }

  void apply(const PeriodCorrection::Change& change, double damping) {
    start_.state.head(map_.size()) += damping * change.state;
    start_.temperatures = (start_.temperatures + damping * change.temperatures).cwiseMin(request_.highest_temperature);
  }

  void judge() {
    if (result_.outcome == PeriodicOutcome::not_periodic && result_.message.empty()) gave_up_on_ring();
    if (result_.outcome == PeriodicOutcome::periodic) {
      constexpr double beyond_doubt = 1.001;  // of a multiplier got by differences
      if (result_.thermal_gain >= 1.0) {
        Index hottest = 0;
        start_.temperatures.maxCoeff(&hottest);
        result_.outcome = PeriodicOutcome::thermal_runaway;
        result_.runaway = static_cast<std::size_t>(hottest);
      } else if (result_.largest_multiplier > beyond_doubt) {
        result_.outcome = PeriodicOutcome::unstable;
      }
    }
    if (result_.message.empty()) result_.message = message();
  }

  std::string message() const {
    switch (result_.outcome) {
      case PeriodicOutcome::periodic:
        return {};
      case PeriodicOutcome::not_periodic:
        return "the circuit did not become periodic in the periods allowed; see the residual";
      case PeriodicOutcome::unstable:
        return "the state that repeats itself every period is unstable: a deviation grows by " +
               text("%.3g", result_.largest_multiplier) +
               " in each, and the circuit settles at a multiple of the period or at none";
      case PeriodicOutcome::thermal_runaway:
        return runaway_message();
      case PeriodicOutcome::ringing:
        return "a ring lasts from one edge to the next, which meets it in another phase each period: no periodic state "
               "was found; it takes resistance in gate or power loop, or a snubber, to damp it";
    }
    return {};
  }

  std::string runaway_message() const {
    const HeatedJunction& junction = map_.junctions()[result_.runaway];
    const auto place = static_cast<Index>(result_.runaway);
    // Below 1 the heat does not feed itself yet: there is a balance, but a hotter one.
    const bool runs_away = result_.thermal_gain >= 1.0;
    return (runs_away ? "thermal runaway" : "too hot") + (": the junction of the " + junction.name) +
           " has no stable temperature up to " + text("%.0f", request_.highest_temperature - 273.15) + " degC; at " +
           text("%.0f", start_.temperatures[place] - 273.15) + " degC it takes " + text("%.3g", end_.heat[place]) +
           " W, with a loop gain R dP/dT of " + text("%.2f", result_.thermal_gain) +
           (runs_away ? "" : ": no runaway there, but too little cooling for that heat");
  }

  static constexpr double smallest_damping = 1.0 / 64.0;

  PeriodicRequest request_;
  PeriodMap map_;
  PeriodStart start_;
  PeriodEnd end_;
  PeriodicState result_;
  int marched_ = 0;
  bool still_holds_ = false;  // the differences, at the next start too
};

}  // namespace

double chosen_tolerance(double requested, const Settings& settings) {
  constexpr double usual = 1e-5;
  constexpr double noise = 10.0;  // of the chosen step lengths, in relative tolerances of the integrator
  return requested > 0.0 ? requested : std::max(usual, noise * settings.relative_tolerance);
}

PeriodicState find_periodic_state(const PeriodicCircuit& circuit, const PeriodicRequest& request,
                                  const Settings& settings) {
  return Search(circuit, request, settings).run();
}

}  // namespace gateswing::simulate
