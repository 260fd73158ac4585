// How pack_step.h, which includes this, judges its steps and chooses the next lengths: integrate::StepControl and
// integrate::first_step for a lane each.
#pragma once

#include <bit>
#include <cmath>

#include "gateswing/lanes/pack_step.h"

namespace gateswing::lanes {

/// Largest value in units of what the tolerance allows at the start of the step.
template <class Tableau, class Real>
Real PackStep<Tableau, Real>::size_of(const Real* values) const {
  const Real* const x = at(plan_.layout.state);
  Real size(0.0);
  for (int row = 0; row < plan_.states; ++row) size = max(size, Real(abs(values[row]) / allowed(x[row], x[row])));
  return size;
}

template <class Tableau, class Real>
template <class Visit>
void PackStep<Tableau, Real>::for_each_slot(const Visit& visit) const {
  const int* slot = plan_.elimination.slot_of.data();
  for (int row = 0; row < plan_.states; ++row) {
    for (int column = 0; column < plan_.states; ++column, ++slot) {
      if (*slot >= 0) visit(row, column, *slot);
    }
  }
}

/// result = N^-1 (result + J of) on differential rows, N^-1 result on algebraic ones, with N from find_derivatives.
template <class Tableau, class Real>
void PackStep<Tableau, Real>::differentiate(const Real* of, Real* result) const {
  const char* const algebraic = plan_.algebraic.data();
  const Real* const minus_jacobian = at(plan_.layout.minus_jacobian);
  for_each_slot([&](int row, int column, int slot) {
    if (algebraic[row] == 0) result[row] -= minus_jacobian[slot] * of[column];
  });
  solve(plan_.elimination, at(plan_.layout.matrix), at(plan_.layout.inverse_pivots), result);
}

/// The first three derivatives at the start of the step, in the place of stages 0 to 2, as integrate::derivatives: N is
/// M, with -J on the algebraic rows.
template <class Tableau, class Real>
void PackStep<Tableau, Real>::find_derivatives() {
  const Layout& layout = plan_.layout;
  Real* const matrix = at(layout.matrix);
  const char* const algebraic = plan_.algebraic.data();
  for_each_slot([&](int row, int, int slot) {
    matrix[slot] = algebraic[row] != 0 ? at(layout.minus_jacobian)[slot] : Real(0.0);
  });
  for (std::size_t e = 0; e < plan_.mass_slots.size(); ++e) matrix[plan_.mass_slots[e]] += at(layout.mass)[e];
  factorize(plan_.elimination, matrix, at(layout.inverse_pivots));
  Real* const first = stage_values(0);
  for (int row = 0; row < plan_.states; ++row) {
    const Real slope = at(layout.time_derivative)[row];
    first[row] = algebraic[row] != 0 ? slope : at(layout.start_residual)[row];
    stage_values(1)[row] = algebraic[row] != 0 ? Real(0.0) : slope;
    stage_values(2)[row] = Real(0.0);
  }
  solve(plan_.elimination, matrix, at(layout.inverse_pivots), first);
  differentiate(first, stage_values(1));
  differentiate(stage_values(1), stage_values(2));
}

/// integrate::first_step for the lanes in `fresh`.
template <class Tableau, class Real>
void PackStep<Tableau, Real>::estimate_first_steps(const Masks& fresh) {
  constexpr double part_of_tolerance = 0.1, blind_part = 1e-4;
  constexpr double order = Tableau::embedded_order + 1.0;
  constexpr double factorial = Tableau::embedded_order == 3 ? 24.0 : 120.0;  // of the order
  static_assert(Tableau::embedded_order == 3 || Tableau::embedded_order == 4);
  find_derivatives();
  const Real limit = control(duration) - control(elapsed);
  const Real bend = size_of(stage_values(1));
  const Real rate = max(Real(size_of(stage_values(2)) / bend), Real(Real(1.0) / limit));
  const Real term = Real(part_of_tolerance * factorial) * rate * rate / bend;
  const Real length = min(limit, Real(exp(Real(Real(1.0 / order) * log(term))) / rate));
  const Real known = select(bend == Real(0.0), limit, select(finite(length), length, Real(Real(blind_part) * limit)));
  control(next_step) = select(fresh, known, control(next_step));
  control(previous_step) = select(fresh, Real(0.0), control(previous_step));
  control(just_rejected) = select(fresh, Real(0.0), control(just_rejected));
  control(first_steps) = select(fresh, Real(control(first_steps) + Real(1.0)), control(first_steps));
}

template <class Tableau, class Real>
void PackStep<Tableau, Real>::judge(const Masks& computed, unsigned running, unsigned recorded, PackOutcome& outcome) {
  const Layout& layout = plan_.layout;
  Real* const x = at(layout.state);
  const Real* const end_state = at(layout.end_state);
  Real error(0.0);
  for (int row = 0; row < plan_.states; ++row)
    error = max(error, Real(abs(weighted<ErrorWeights>(row)) / allowed(x[row], end_state[row])));
  const Masks accepted = computed && (given_ || error <= Real(1.0));
  control_lengths(accepted, computed, error);
  if (recorded != 0) keep_dense();
  for (int row = 0; row < plan_.states; ++row) x[row] = select(accepted, end_state[row], x[row]);
  Real* const integrals = at(layout.integrals);
  for (int i = 0; i < plan_.integrals; ++i)
    integrals[i] = select(accepted, Real(integrals[i] + at(layout.step_integrals)[i]), integrals[i]);
  control(step_begin) = select(accepted, control(elapsed), control(step_begin));
  control(elapsed) = select(accepted, end_, control(elapsed));
  control(steps) += select(accepted, Real(1.0), Real(0.0));
  control(rejections) += select(accepted, Real(0.0), Real(1.0));
  outcome.finished = bits(accepted && control(elapsed) >= control(duration)) & running;
  const Masks exhausted = control(steps) + control(rejections) >= Real(tolerance_.attempts);
  outcome.failed = bits((!accepted && (given_ || length_ <= smallest_)) || exhausted) & running & ~outcome.finished;
  outcome.accepted = bits(accepted) & recorded & running;
  write_ends(bits(accepted) & running);
  outcome.lane_steps += static_cast<long>(std::popcount(running));
}

/// integrate::StepControl for every lane.
template <class Tableau, class Real>
void PackStep<Tableau, Real>::control_lengths(const Masks& accepted, const Masks& computed, const Real& error) {
  using Constants = integrate::StepControl;
  constexpr double exponent = 1.0 / (Tableau::embedded_order + 1);
  const double log_safety = std::log(Constants::safety);
  const auto clamp = [](const Real& x, const Real& low, const Real& high) { return min(max(x, low), high); };
  const Real plain = log(max(error, Real(Constants::smallest_error)));
  const Real log_error = plain - Real(log_safety / exponent);
  const Real previous = control(previous_log_error);
  const Real trend = Real(exponent) * (previous - log_error);
  const Real simple = Real(-exponent) * log_error;
  const auto remembers = control(previous_step) > Real(0.0);
  const Real ratio = length_ / select(remembers, control(previous_step), length_);
  const Real both = min(Real(Real(Constants::integral_gain) * simple + Real(Constants::proportional_gain) * trend),
                        Real(simple + trend + log(ratio)));
  const Real growth = select(control(just_rejected) > Real(0.0), Real(1.0), Real(Constants::largest_growth));
  const Real proposed = length_ * clamp(exp(select(remembers, both, simple)), Real(Constants::largest_cut), growth);
  constexpr double shortened = 0.95;
  const Real after_acceptance = select(length_ < Real(shortened) * wanted_, max(proposed, wanted_), proposed);
  const Real tried = min(length_, wanted_);
  const Real cut = clamp(exp(Real(Real(log_safety) - Real(exponent) * plain)), Real(Constants::largest_cut),
                         Real(Constants::safety));
  const Real after_rejection = tried * select(computed && finite(error), cut, Real(Constants::failure_cut));
  control(next_step) = select(accepted, after_acceptance, after_rejection);
  control(previous_step) = select(accepted, length_, control(previous_step));
  control(previous_log_error) =
      select(accepted, max(log_error, Real(Constants::smallest_remembered_log_error)), previous);
  control(just_rejected) = select(accepted, Real(0.0), Real(1.0));
}

template <class Tableau, class Real>
void PackStep<Tableau, Real>::write_ends(unsigned accepted) const {
  const auto done = lanes_of(control(steps));
  const auto time = lanes_of(control(elapsed));
  for (std::size_t lane = 0; lane < done.size(); ++lane) {
    double* const taken = ends_[lane].taken;
    if (taken != nullptr && ((accepted >> lane) & 1U) != 0)
      taken[static_cast<std::ptrdiff_t>(done[lane]) - 1] = time[lane];
  }
}

/// For recorded lanes: the polynomial of the step just attempted, as integrate::DenseStep.
template <class Tableau, class Real>
void PackStep<Tableau, Real>::keep_dense() {
  const Layout& layout = plan_.layout;
  for (int row = 0; row < plan_.states; ++row) {
    at(layout.dense_start)[row] = at(layout.state)[row];
    at(layout.dense_end)[row] = at(layout.end_state)[row];
    Real* const shape = at(layout.dense_shape) + row;
    shape[0] = weighted<DenseWeights<0>>(row);
    shape[plan_.states] = weighted<DenseWeights<1>>(row);
    shape[static_cast<std::ptrdiff_t>(2) * plan_.states] = weighted<DenseWeights<2>>(row);
  }
}

}  // namespace gateswing::lanes
