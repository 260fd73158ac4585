// Time per Rosenbrock step of this library's Rodas4 and of Boost.Odeint's rosenbrock4, the same method on run-time
// sized storage, at equal tolerances on two problems with published answers. Both get the same right-hand sides, the
// same exact Jacobians and the same first step, and run in turn, so that their ratio outlives a change of the machine's
// load. Odeint's coefficient d4 has the wrong sign (it makes the method first order where the right-hand side depends
// on time) and is replaced. Odeint judges the root mean square of the scaled errors, this library the largest. Exit
// code 0 only if every answer is right; times are printed, never judged.
#include "ublas_in_cpp20.h"  // first: what follows needs it

#include <algorithm>
#include <boost/numeric/odeint/stepper/rosenbrock4.hpp>
#include <boost/numeric/odeint/stepper/rosenbrock4_controller.hpp>
#include <boost/numeric/ublas/matrix.hpp>
#include <boost/numeric/ublas/vector.hpp>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <utility>

#include "gateswing/integrate/integrate.h"
#include "integrate/problems/hires.h"
#include "integrate/problems/ring_modulator.h"

namespace {

namespace odeint = boost::numeric::odeint;
using gateswing::integrate::Rodas4;
using gateswing::integrate::problems::ProblemSystem;
using gateswing::integrate::problems::States;
using UblasVector = boost::numeric::ublas::vector<double>;
using UblasMatrix = boost::numeric::ublas::matrix<double>;

constexpr double scale = 1e-3;       // size below which a state counts as nothing, for both integrators
constexpr double first_step = 1e-7;  // fraction of the end time
constexpr long most_attempts = 10'000'000;

struct Run {
  double error = 0.0;  // largest relative error of a state at the end; NaN where the end was not reached
  long steps = 0;
  long rejections = 0;
  double seconds = 0.0;

  double nanoseconds_per_attempt() const { return 1e9 * seconds / static_cast<double>(steps + rejections); }
};

template <class State>
double relative_error(const State& x, const auto& reference) {
  double worst = 0.0;
  for (std::size_t i = 0; i < reference.size(); ++i) {
    worst = std::max(worst, std::abs(x[static_cast<int>(i)] / reference[i] - 1.0));
  }
  return worst;
}

template <class Problem>
struct GateswingRodas4 {
  static constexpr const char* name = "gateswing Rodas4";

  static Run run(double tolerance) {
    using System = ProblemSystem<Problem>;
    System system;
    typename System::Vector x = System::vector(Problem::start);
    gateswing::integrate::StepMemory memory;
    const gateswing::integrate::Settings settings{.relative_tolerance = tolerance,
                                                  .absolute_tolerance = tolerance,
                                                  .initial_step = first_step * Problem::end_time,
                                                  .maximum_steps = most_attempts};
    const auto outcome =
        gateswing::integrate::integrate<Rodas4>(system, x, 0.0, Problem::end_time, System::Vector::Constant(scale),
                                                settings, memory, [](const auto&, const auto&) {});
    const bool ended = outcome.status == gateswing::integrate::Status::success;
    return {ended ? relative_error(x, Problem::reference) : NAN, outcome.statistics.steps,
            outcome.statistics.rejections};
  }
};

struct CorrectedCoefficients : odeint::default_rosenbrock_coefficients<double> {
  const double d4 = Rodas4::d[3];
};

template <class Problem>
struct OdeintRates {
  void operator()(const UblasVector& x, UblasVector& rate, double t) const {
    States<double, Problem::size> y;
    std::copy(x.begin(), x.end(), y.begin());
    const auto f = Problem{}.rhs(y, t);
    std::copy(f.begin(), f.end(), rate.begin());
  }
};

template <class Problem>
struct OdeintJacobian {
  void operator()(const UblasVector& x, UblasMatrix& jacobian, double t, UblasVector& time_derivative) const {
    constexpr int directions = Problem::size + 1;
    States<gateswing::device::Dual<double, directions>, Problem::size> y;
    for (std::size_t i = 0; i < y.size(); ++i) y[i] = gateswing::device::seed<directions>(x[i], static_cast<int>(i));
    const auto f = Problem{}.rhs(y, gateswing::device::seed<directions>(t, Problem::size));
    for (std::size_t i = 0; i < y.size(); ++i) {
      for (std::size_t j = 0; j < y.size(); ++j) jacobian(i, j) = f[i].derivative[j];
      time_derivative[i] = f[i].derivative[y.size()];
    }
  }
};

template <class Problem>
struct OdeintRosenbrock4 {
  static constexpr const char* name = "Odeint rosenbrock4";

  static Run run(double tolerance) {
    using Stepper = odeint::rosenbrock4<double, CorrectedCoefficients>;
    odeint::rosenbrock4_controller<Stepper> stepper(tolerance * scale, tolerance);
    const auto system = std::make_pair(OdeintRates<Problem>{}, OdeintJacobian<Problem>{});
    UblasVector x(Problem::size);
    std::copy(Problem::start.begin(), Problem::start.end(), x.begin());
    constexpr double end =
        Problem::end_time * (1.0 - 1e-14);  // a last step of one rounding error would be one too many
    double t = 0.0, dt = first_step * Problem::end_time;
    Run result;
    while (t < end && result.steps + result.rejections < most_attempts) {
      dt = std::min(dt, Problem::end_time - t);
      ++(stepper.try_step(system, x, t, dt) == odeint::success ? result.steps : result.rejections);
    }
    result.error = t < end ? NAN : relative_error(x, Problem::reference);
    return result;
  }
};

template <class Integrator>
void time_once(double tolerance, Run& best) {
  const auto begin = std::chrono::steady_clock::now();
  Run run = Integrator::run(tolerance);
  run.seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
  if (best.steps == 0 || run.seconds < best.seconds) best = run;
}

// Prints a row; whether the answer is right.
bool report(const char* name, const Run& run, double allowed) {
  const bool right = run.error < allowed;
  std::printf("  %-19s %8.1e %9ld %9ld %12.0f %11.3f%s\n", name, run.error, run.steps, run.rejections,
              run.nanoseconds_per_attempt(), 1e3 * run.seconds, right ? "" : "  WRONG");
  return right;
}

// The shortest of several runs of each; whether both answers are right.
template <class Problem>
bool compare(const char* problem, double tolerance, double allowed) {
  constexpr int least_runs = 3, most_runs = 2000;
  constexpr double enough = 0.3;  // [s]
  Run own, other;
  const auto begin = std::chrono::steady_clock::now();
  const auto elapsed = [&] { return std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count(); };
  for (int i = 0; i < most_runs && (i < least_runs || elapsed() < enough); ++i) {
    time_once<GateswingRodas4<Problem>>(tolerance, own);
    time_once<OdeintRosenbrock4<Problem>>(tolerance, other);
  }
  std::printf("%s, %d states, tolerance %.0e\n", problem, Problem::size, tolerance);
  std::printf("  %-19s %8s %9s %9s %12s %11s\n", "", "error", "steps", "rejected", "ns/attempt", "ms");
  const bool own_right = report(GateswingRodas4<Problem>::name, own, allowed);
  const bool other_right = report(OdeintRosenbrock4<Problem>::name, other, allowed);
  std::printf("  Odeint / gateswing: %.2f per attempt, %.2f per run\n",
              other.nanoseconds_per_attempt() / own.nanoseconds_per_attempt(), other.seconds / own.seconds);
  return own_right && other_right;
}

}  // namespace

int main() {
  using gateswing::integrate::problems::Hires;
  using gateswing::integrate::problems::RingModulator;
  bool right = true;
  right = compare<Hires>("HIRES", 1e-4, 1e-3) && right;
  right = compare<Hires>("HIRES", 1e-6, 1e-5) && right;
  right = compare<RingModulator>("Ring modulator", 1e-4, 3e-3) && right;
  return right ? 0 : 1;
}
