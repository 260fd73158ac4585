// CPU time against error of this library's scalar solver, of its lanes, and of SUNDIALS' IDA, on one cell: the
// demonstration's over two switching periods, from corner to corner of the driver's command.
//
// IDA solves M(x) x' = f with the same right-hand side and the same exact Jacobian, dense, as
//   0 = M0 x' - M0 M(x)^-1 f(x, t),   M0 the mass matrix where its Jacobian was last taken,
// with its default order (up to 5) and limited to order 2, which is stable for ringing circuits. All run in turn in one
// process. The error is the largest |difference| / (1 + |x|) to a run at tolerance 1e-10, over the states at the ends
// of all segments. Exit code 0 only if this library's errors are below the tolerance asked for; times are printed,
// never judged.
#include <ida/ida.h>
#include <nvector/nvector_serial.h>
#include <sundials/sundials_context.h>
#include <sunlinsol/sunlinsol_dense.h>
#include <sunmatrix/sunmatrix_dense.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <ctime>
#include <memory>
#include <vector>

#include "demonstration_cell.h"
#include "gateswing/integrate/small_lu.h"
#include "gateswing/network/network_system.h"
#include "gateswing/study/lane_runs.h"
#include "gateswing/study/low_side_run.h"

namespace {

using namespace gateswing;
using System = network::NetworkSystem<14>;
using States = std::vector<Eigen::VectorXd>;  // at the end of each segment

constexpr double period = 20e-6;  // [s]
constexpr double duty = 0.6;
constexpr int periods = 2;

std::unique_ptr<study::LowSideRun> started() {
  auto run = std::make_unique<study::LowSideRun>(bench::demonstration_cell(), 6.0);
  std::vector<network::Pulse> pulses;
  for (int k = 0; k < periods; ++k) pulses.push_back({k * period, (k + duty) * period});
  run->set_command(network::gate_command(pulses, bench::demonstration_cell().driver.timing));
  if (!run->simulator().start(0.0)) std::puts("no consistent start");
  return run;
}

std::vector<double> stops(const study::Simulator& simulator) {
  std::vector<double> times = network::corner_times(simulator.network().inputs, 0.0, periods * period);
  times.push_back(periods * period);
  return times;
}

struct Run {
  States states;
  long steps = 0;
  double seconds = 0.0;
};

template <class Work>
void timed(Run& run, const Work& work) {
  const std::clock_t begin = std::clock();
  work();
  run.seconds += static_cast<double>(std::clock() - begin) / CLOCKS_PER_SEC;
}

Run scalar_run(double tolerance) {
  Run result;
  const auto run = started();
  for (const double stop : stops(run->simulator())) {
    timed(result, [&] {
      result.steps += run->simulator().advance(stop, {.relative_tolerance = tolerance}, nullptr).statistics.steps;
    });
    result.states.push_back(run->simulator().state());
  }
  return result;
}

/// As many equal designs as the kernel has lanes, one after the other's time divided by their number.
Run lanes_run(double tolerance, const lanes::Kernel& kernel) {
  Run result;
  std::vector<std::unique_ptr<study::LowSideRun>> cells;
  for (int lane = 0; lane < kernel.width; ++lane) cells.push_back(started());
  for (const double stop : stops(cells.front()->simulator())) {
    std::vector<study::LaneRun> runs;
    for (const auto& cell : cells) runs.push_back({&cell->simulator(), stop, nullptr, {}});
    timed(result, [&] { study::advance_all(runs, {.relative_tolerance = tolerance}, 1, &kernel); });
    result.steps += runs.front().interval.statistics.steps;
    result.states.push_back(runs.front().simulator->state());
  }
  result.seconds /= kernel.width;
  return result;
}

/// IDA on the network of a simulator.
class Ida {
 public:
  Ida(const study::Simulator& simulator, double tolerance, int highest_order)
      : network_(simulator.network()), system_(network_) {
    SUNContext_Create(nullptr, &context_);
    state_ = N_VNew_Serial(System::size, context_);
    rate_ = N_VClone(state_);
    jacobian_ = SUNDenseMatrix(System::size, System::size, context_);
    solver_ = SUNLinSol_Dense(state_, jacobian_, context_);
    memory_ = IDACreate(context_);
    vector(state_).setZero();
    vector(state_).head(network_.size()) = simulator.state();
    IDAInit(memory_, residual, 0.0, state_, rate_);
    IDASStolerances(memory_, tolerance, tolerance);
    IDASetUserData(memory_, this);
    IDASetLinearSolver(memory_, solver_, jacobian_);
    IDASetJacFn(memory_, take_jacobian);
    IDASetMaxOrd(memory_, highest_order);
    IDASetMaxNumSteps(memory_, 10'000'000);
  }
  Ida(const Ida&) = delete;
  Ida& operator=(const Ida&) = delete;
  Ida(Ida&&) = delete;
  Ida& operator=(Ida&&) = delete;
  ~Ida() {
    IDAFree(&memory_);
    SUNLinSolFree(solver_);
    SUNMatDestroy(jacobian_);
    N_VDestroy(rate_);
    N_VDestroy(state_);
    SUNContext_Free(&context_);
  }

  /// False where IDA gives up.
  bool advance(double begin, double end) {
    system_.enter_segment(network_.inputs, begin);
    set_rates(begin);
    IDAReInit(memory_, begin, state_, rate_);
    IDASetStopTime(memory_, end);
    double reached = begin;
    const bool done = IDASolve(memory_, end, &reached, state_, rate_, IDA_NORMAL) >= 0;
    long steps = 0;
    IDAGetNumSteps(memory_, &steps);
    steps_ += steps;
    return done;
  }

  [[nodiscard]] Eigen::VectorXd state() const { return vector(state_).head(network_.size()); }
  [[nodiscard]] long steps() const { return steps_; }

 private:
  static Eigen::Map<System::Vector> vector(N_Vector values) {
    return Eigen::Map<System::Vector>(N_VGetArrayPointer(values));
  }

  void linearize(double t) { system_.linearize(t, System::Vector(vector(state_)), mass_, slopes_, time_derivative_); }

  /// x' = M^-1 f on differential rows; from the derivative of the algebraic rows, J x' + f_t = 0, the others.
  void set_rates(double t) {
    linearize(t);
    System::Vector source;
    System::Integrals integrand;
    system_.residual(t, System::Vector(vector(state_)), source, integrand);
    System::Matrix matrix = mass_;
    for (int row = 0; row < System::size; ++row) {
      if (!mass_.row(row).isZero(0.0)) continue;
      matrix.row(row) = -slopes_.row(row);
      source[row] = time_derivative_[row];
    }
    integrate::SmallLu<System::Vector> lu;
    lu.compute(matrix);
    vector(rate_) = lu.solve(source);
  }

  static int residual(double t, N_Vector x, N_Vector rate, N_Vector result, void* self) {
    Ida& ida = *static_cast<Ida*>(self);
    System::Vector right;
    System::Integrals integrand;
    ida.system_.residual(t, System::Vector(vector(x)), right, integrand);
    vector(result) = ida.mass_ * vector(rate) - right;
    return vector(result).allFinite() ? 0 : 1;
  }

  static int take_jacobian(double t, double weight, N_Vector x, N_Vector, N_Vector, SUNMatrix jacobian, void* self,
                           N_Vector, N_Vector, N_Vector) {
    Ida& ida = *static_cast<Ida*>(self);
    ida.system_.linearize(t, System::Vector(vector(x)), ida.mass_, ida.slopes_, ida.time_derivative_);
    Eigen::Map<System::Matrix>(SUNDenseMatrix_Data(jacobian)) = weight * ida.mass_ - ida.slopes_;
    return 0;
  }

  network::CompiledNetwork network_;
  System system_;
  System::Matrix mass_, slopes_;
  System::Vector time_derivative_;
  SUNContext context_ = nullptr;
  N_Vector state_ = nullptr, rate_ = nullptr;
  SUNMatrix jacobian_ = nullptr;
  SUNLinearSolver solver_ = nullptr;
  void* memory_ = nullptr;
  long steps_ = 0;
};

Run ida_run(double tolerance, int highest_order) {
  Run result;
  const auto run = started();
  Ida ida(run->simulator(), tolerance, highest_order);
  double begin = 0.0;
  for (const double stop : stops(run->simulator())) {
    timed(result, [&] {
      if (!ida.advance(begin, stop)) std::printf("IDA gave up before %g s\n", stop);
    });
    result.states.push_back(ida.state());
    begin = stop;
  }
  result.steps = ida.steps();
  return result;
}

/// One solver's errors and times over the tolerances asked for.
struct Curve {
  const char* name;
  std::vector<double> errors, milliseconds;

  /// Prints a row; the error.
  double add(double tolerance, const Run& run, const States& reference) {
    double error = 0.0;
    for (std::size_t k = 0; k < reference.size(); ++k) {
      const auto difference = (run.states[k] - reference[k]).array().abs() / (1.0 + reference[k].array().abs());
      error = std::max(error, difference.maxCoeff());
    }
    errors.push_back(error);
    milliseconds.push_back(1e3 * run.seconds);
    std::printf("  %-22s %8.0e %9.1e %9ld %11.3f\n", name, tolerance, error, run.steps, milliseconds.back());
    return error;
  }

  /// Time for an error, straight between points on logarithmic axes; that of the first point for a larger error, and
  /// infinity for one that was not reached.
  [[nodiscard]] double time_at(double error) const {
    if (error >= errors.front()) return milliseconds.front();
    for (std::size_t k = 1; k < errors.size(); ++k) {
      if (errors[k] > error) continue;
      const double share = std::log(errors[k - 1] / error) / std::log(errors[k - 1] / errors[k]);
      return milliseconds[k - 1] * std::pow(milliseconds[k] / milliseconds[k - 1], share);
    }
    return INFINITY;
  }
};

}  // namespace

int main() {
  const States reference = scalar_run(1e-10).states;
  Curve scalar{"scalar", {}, {}};
  std::vector<Curve> packs;
  for (const lanes::Kernel& kernel : lanes::kernels()) packs.push_back({kernel.instructions, {}, {}});
  std::vector<Curve> others{{"IDA", {}, {}}, {"IDA, order 2", {}, {}}};
  bool right = true;
  std::printf("  %-22s %8s %9s %9s %11s\n", "", "asked", "error", "steps", "CPU ms");
  for (const double tolerance : {1e-3, 1e-4, 1e-5, 1e-6, 1e-7}) {
    right = scalar.add(tolerance, scalar_run(tolerance), reference) < tolerance && right;
    for (std::size_t k = 0; k < packs.size(); ++k)
      right = packs[k].add(tolerance, lanes_run(tolerance, lanes::kernels()[k]), reference) < tolerance && right;
    others[0].add(tolerance, ida_run(tolerance, 5), reference);
    others[1].add(tolerance, ida_run(tolerance, 2), reference);
  }
  for (const double error : {1e-4, 1e-5}) {
    const double best = std::min(others[0].time_at(error), others[1].time_at(error));
    std::printf("error %.0e: best of IDA / scalar %.1f", error, best / scalar.time_at(error));
    for (const Curve& pack : packs) std::printf(", / %s %.1f", pack.name, best / pack.time_at(error));
    std::printf("\n");
  }
  return right ? 0 : 1;
}
