// Published reference solutions of stiff problems, reached at three tolerances with an error that falls with the
// tolerance.
#include <doctest/doctest.h>

#include <array>
#include <cmath>

#include "gateswing/integrate/integrate.h"
#include "integrate/problems/hires.h"
#include "integrate/problems/nand_gate.h"
#include "integrate/problems/ring_modulator.h"
#include "integrate/problems/robertson.h"
#include "integrate/problems/transistor_amplifier.h"
#include "integrate/problems/van_der_pol.h"

namespace gateswing::integrate {

namespace {

using problems::NandGate;
using problems::ProblemSystem;

struct Run {
  double error = 0.0;  // largest relative error of a state at the end
  Statistics work;
};

template <class Problem>
using VectorOf = typename ProblemSystem<Problem>::Vector;

template <class Problem>
double relative_error(const VectorOf<Problem>& x) {
  const VectorOf<Problem> reference = ProblemSystem<Problem>::vector(Problem::reference);
  return (x - reference).cwiseQuotient(reference).cwiseAbs().maxCoeff();
}

constexpr auto nobody = [](const auto&, const auto&) {};

/// scale: size below which a state counts as nothing.
template <class Tableau, class Problem>
Run run(double tolerance, const VectorOf<Problem>& scale) {
  const Settings settings{.relative_tolerance = tolerance, .absolute_tolerance = tolerance};
  ProblemSystem<Problem> system;
  VectorOf<Problem> x = system.vector(Problem::start);
  StepMemory memory;
  const Outcome outcome = integrate<Tableau>(system, x, 0.0, Problem::end_time, scale, settings, memory, nobody);
  REQUIRE(outcome.status == Status::success);
  return {relative_error<Problem>(x), outcome.statistics};
}

/// Restarts at each corner of the inputs.
template <class Tableau>
Run run_nand(double tolerance) {
  const Settings settings{.relative_tolerance = tolerance, .absolute_tolerance = tolerance};
  VectorOf<NandGate> x = ProblemSystem<NandGate>::vector(NandGate::start);
  Run result;
  for (double begin = 0.0; begin < NandGate::end_time; begin += NandGate::corner_every) {
    ProblemSystem<NandGate> system(NandGate{begin + 0.5 * NandGate::corner_every});
    StepMemory memory;
    const Outcome outcome = integrate<Tableau>(system, x, begin, begin + NandGate::corner_every,
                                               VectorOf<NandGate>::Ones(), settings, memory, nobody);
    REQUIRE(outcome.status == Status::success);
    result.work += outcome.statistics;
  }
  result.error = relative_error<NandGate>(x);
  return result;
}

/// Three tolerances a hundred apart: the error stays below `factor` times the tolerance, and each is less than a
/// fifth of the one before.
template <class Runner>
void check_falling(const Runner& run_at, const std::array<double, 3>& tolerances, double factor) {
  double previous = 0.0;
  for (const double tolerance : tolerances) {
    const Run result = run_at(tolerance);
    CAPTURE(tolerance);
    CAPTURE(result.work.steps);
    CAPTURE(result.work.rejections);
    CHECK(result.error < factor * tolerance);
    if (previous > 0.0) CHECK(result.error < 0.2 * previous);
    previous = result.error;
  }
}

template <class Tableau, class Problem>
void check_falling(const VectorOf<Problem>& scale, double factor) {
  check_falling([&](double tolerance) { return run<Tableau, Problem>(tolerance, scale); }, {1e-4, 1e-6, 1e-8}, factor);
}

}  // namespace

TEST_CASE_TEMPLATE("HIRES reaches its reference", T, Rodas4, Rodas4P, Rodas5P) {
  check_falling<T, problems::Hires>(VectorOf<problems::Hires>::Constant(1e-3), 5.0);
}

TEST_CASE_TEMPLATE("Robertson's reactions reach their reference after eleven decades", T, Rodas4, Rodas4P, Rodas5P) {
  check_falling<T, problems::Robertson>({1e-6, 1e-12, 1e-6}, 5.0);
}

TEST_CASE_TEMPLATE("van der Pol's oscillator reaches its reference", T, Rodas4, Rodas4P, Rodas5P) {
  check_falling<T, problems::VanDerPol>(VectorOf<problems::VanDerPol>::Constant(1e-3), 5.0);
}

TEST_CASE_TEMPLATE("the transistor amplifier reaches its reference", T, Rodas4, Rodas4P, Rodas5P) {
  check_falling<T, problems::TransistorAmplifier>(VectorOf<problems::TransistorAmplifier>::Ones(), 5.0);
}

// Its transistor law jumps where a current reverses, so its errors scatter.
TEST_CASE_TEMPLATE("the NAND gate reaches its reference", T, Rodas4, Rodas4P, Rodas5P) {
  check_falling(run_nand<T>, {1e-4, 1e-6, 1e-8}, 30.0);
}

TEST_CASE("the ring modulator reaches its reference") {
  const auto at = [](double tolerance) {
    return run<Rodas5P, problems::RingModulator>(tolerance, VectorOf<problems::RingModulator>::Constant(1e-3));
  };
  check_falling(at, {1e-3, 1e-4, 1e-5}, 100.0);
}

// With ten digits, so that a wrong constant of a problem or a method cannot hide.
TEST_CASE("tight tolerances reproduce the references to nine digits") {
  using problems::Hires;
  using problems::TransistorAmplifier;
  using problems::VanDerPol;
  CHECK(run<Rodas5P, Hires>(1e-10, VectorOf<Hires>::Constant(1e-3)).error < 1e-9);
  CHECK(run<Rodas5P, VanDerPol>(1e-10, VectorOf<VanDerPol>::Constant(1e-3)).error < 1e-9);
  CHECK(run<Rodas5P, TransistorAmplifier>(1e-10, VectorOf<TransistorAmplifier>::Ones()).error < 1e-9);
  CHECK(run_nand<Rodas5P>(1e-10).error < 1e-9);
}

// Bounds a quarter above what was measured: work that grows is a defect as much as an error that grows.
TEST_CASE("the references cost no more work than they did") {
  using problems::Hires;
  using problems::TransistorAmplifier;
  using problems::VanDerPol;
  const auto check = [](const Run& result, long steps, long rejections) {
    CAPTURE(result.work.steps);
    CAPTURE(result.work.rejections);
    CHECK(result.work.steps < steps);
    CHECK(result.work.rejections < rejections);
  };
  check(run<Rodas5P, Hires>(1e-6, VectorOf<Hires>::Constant(1e-3)), 280, 12);
  check(run<Rodas5P, VanDerPol>(1e-6, VectorOf<VanDerPol>::Constant(1e-3)), 900, 20);
  check(run<Rodas5P, TransistorAmplifier>(1e-6, VectorOf<TransistorAmplifier>::Ones()), 4900, 80);
  check(run_nand<Rodas5P>(1e-6), 1300, 90);
}

}  // namespace gateswing::integrate
