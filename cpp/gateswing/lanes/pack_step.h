// Rosenbrock steps of a pack: every lane at its own time with its own step length, accepted or rejected on its own.
#pragma once

#include <array>
#include <bit>
#include <cstddef>
#include <limits>
#include <utility>

#include "gateswing/integrate/step_control.h"
#include "gateswing/integrate/tableau.h"
#include "gateswing/lanes/evaluator.h"
#include "gateswing/lanes/kernel.h"
#include "gateswing/lanes/sparse_lu.h"

namespace gateswing::lanes {

/// One pack in `memory`. Lanes never mix: what a lane computes depends on its own values alone, to the last bit.
template <class Tableau, class Real>
class PackStep {
 public:
  PackStep(const Plan& plan, Real* memory, const Tolerance& tolerance, const StepEnds* ends)
      : plan_(plan), memory_(memory), tolerance_(tolerance), ends_(ends), evaluator_(plan, memory) {}

  /// Attempts steps until a lane in `running` ends its segment or fails, a lane in `recorded` has an accepted step, or
  /// `attempts` are made.
  PackOutcome advance(unsigned running, unsigned recorded, int attempts) {
    PackOutcome outcome;
    while (outcome.attempts < attempts && (outcome.finished | outcome.failed | outcome.accepted) == 0) {
      evaluator_.linearize(control(elapsed), at(plan_.layout.state));
      const auto fresh = !(control(next_step) > Real(0.0));
      if ((bits(fresh) & running) != 0) estimate_first_steps(fresh);
      choose_lengths();
      const auto computed = attempt();
      judge(computed, running, recorded, outcome);
      ++outcome.attempts;
    }
    return outcome;
  }

 private:
  using Masks = MaskOf<Real>;
  using Weights = integrate::Row<Tableau::stages>;

  [[nodiscard]] Real* at(int offset) const { return memory_ + offset; }
  [[nodiscard]] Real& control(Control which) const { return memory_[plan_.layout.control + which]; }
  [[nodiscard]] Real* stage_values(std::size_t i) const {
    return at(plan_.layout.stages) + i * static_cast<std::size_t>(plan_.states);
  }
  static auto lanes_of(const Real& x) { return std::bit_cast<std::array<double, sizeof(Real) / sizeof(double)>>(x); }
  static Masks finite(const Real& x) { return abs(x) <= Real(std::numeric_limits<double>::max()); }

  template <class Visit>
  void for_each_slot(const Visit& visit) const;
  void differentiate(const Real* of, Real* result) const;
  void find_derivatives();
  void estimate_first_steps(const Masks& fresh);
  void choose_lengths();
  [[nodiscard]] Real given_ends() const;
  Masks attempt();
  template <std::size_t i>
  void stage();
  void finish_integrals();
  void judge(const Masks& computed, unsigned running, unsigned recorded, PackOutcome& outcome);
  void control_lengths(const Masks& accepted, const Masks& computed, const Real& error);
  void keep_dense();
  void write_ends(unsigned accepted) const;

  /// out[row] (+)= sum of weights[j] u_j over the stages that count.
  template <class Row, std::size_t... j>
  [[nodiscard]] Real weighted(int row, std::index_sequence<j...>) const {
    Real sum(0.0);
    const Real* const u = at(plan_.layout.stages) + row;
    ((Row::values[j] != 0.0
          ? void(sum = multiply_add(Real(Row::values[j]), u[static_cast<std::ptrdiff_t>(j) * plan_.states], sum))
          : void()),
     ...);
    return sum;
  }
  template <class Row>
  [[nodiscard]] Real weighted(int row) const {
    return weighted<Row>(row, std::make_index_sequence<Tableau::stages>{});
  }
  template <std::size_t i>
  struct StageWeights {
    static constexpr Weights values = Tableau::a[i];
  };
  template <std::size_t i>
  struct CouplingWeights {
    static constexpr Weights values = Tableau::k[i];
  };
  template <std::size_t l>
  struct DenseWeights {
    static constexpr Weights values = Tableau::dense[l];
  };
  struct SolutionWeights {
    static constexpr Weights values = Tableau::b;
  };
  struct ErrorWeights {
    static constexpr Weights values = Tableau::error;
  };
  struct QuadratureWeights {
    static constexpr Weights values = integrate::quadrature_weights<Tableau>();
  };

  [[nodiscard]] Real allowed(const Real& a, const Real& b) const {
    return Real(tolerance_.absolute) + Real(tolerance_.relative) * max(abs(a), abs(b));
  }
  [[nodiscard]] Real size_of(const Real* values) const;

  const Plan& plan_;
  Real* memory_;
  Tolerance tolerance_;
  const StepEnds* ends_;
  Evaluator<Real> evaluator_;
  Real wanted_{}, smallest_{}, length_{}, end_{};
  Masks given_{};  ///< lanes that repeat steps
};

/// As integrate::Stepper: the end is hit exactly, and no sliver is left before it.
template <class Tableau, class Real>
void PackStep<Tableau, Real>::choose_lengths() {
  constexpr double stretch = 1.02;
  const Real time = control(elapsed);
  const Real end = control(duration);
  const Real remaining = end - time;
  smallest_ = Real(4.0 * std::numeric_limits<double>::epsilon()) * end;
  wanted_ = max(smallest_, control(next_step));
  const Real inside = time + select(remaining < Real(2.0) * wanted_, Real(Real(0.5) * remaining), wanted_);
  const Real chosen = select(remaining <= Real(stretch) * wanted_, end, inside);
  const Real given = given_ends();
  given_ = given > Real(0.0);
  end_ = select(given_, given, chosen);
  length_ = end_ - time;
}

/// Of the steps that lanes repeat; 0 for the others.
template <class Tableau, class Real>
Real PackStep<Tableau, Real>::given_ends() const {
  const auto done = lanes_of(control(steps));
  auto given = done;
  for (std::size_t lane = 0; lane < done.size(); ++lane) {
    const double* const ends = ends_[lane].given;
    given[lane] = ends != nullptr ? ends[static_cast<std::ptrdiff_t>(done[lane])] : 0.0;
  }
  return std::bit_cast<Real>(given);
}

template <class Tableau, class Real>
typename PackStep<Tableau, Real>::Masks PackStep<Tableau, Real>::attempt() {
  const Layout& layout = plan_.layout;
  Real* const matrix = at(layout.matrix);
  for (int slot = 0; slot < plan_.elimination.slots; ++slot) matrix[slot] = at(layout.minus_jacobian)[slot];
  const Real rate = Real(1.0) / (Real(Tableau::gamma) * length_);
  for (std::size_t e = 0; e < plan_.mass_slots.size(); ++e) matrix[plan_.mass_slots[e]] += rate * at(layout.mass)[e];
  const Masks lost = factorize(plan_.elimination, matrix, at(layout.inverse_pivots));
  [&]<std::size_t... i>(std::index_sequence<i...>) { (stage<i>(), ...); }(std::make_index_sequence<Tableau::stages>{});
  Real sum(0.0);
  for (int row = 0; row < plan_.states; ++row) {
    const Real end = at(layout.state)[row] + weighted<SolutionWeights>(row);
    at(layout.end_state)[row] = end;
    sum += abs(end);
  }
  finish_integrals();
  for (int i = 0; i < plan_.integrals; ++i) sum += abs(at(layout.step_integrals)[i]);
  return finite(sum) && !lost;
}

template <class Tableau, class Real>
template <std::size_t i>
void PackStep<Tableau, Real>::stage() {
  const Layout& layout = plan_.layout;
  Real* const u = stage_values(i);
  Real* const integrals = at(layout.step_integrals);
  constexpr double weight = QuadratureWeights::values[i];
  if constexpr (i == 0) {
    for (int row = 0; row < plan_.states; ++row) u[row] = at(layout.start_residual)[row];
    for (int k = 0; k < plan_.integrals; ++k) integrals[k] = Real(weight) * at(layout.start_integrand)[k];
  } else {
    constexpr auto earlier = std::make_index_sequence<i>{};
    Real* const state = at(layout.stage_state);
    Real* const coupling = at(layout.coupling);
    const Real inverse_length = Real(1.0) / length_;
    for (int row = 0; row < plan_.states; ++row) {
      const Real moved = weighted<StageWeights<i>>(row, earlier);
      const Real coupled = weighted<CouplingWeights<i>>(row, earlier);
      state[row] = at(layout.state)[row] + moved;
      coupling[row] = inverse_length * coupled;
    }
    evaluator_.residual(control(elapsed) + Real(Tableau::c[i]) * length_, state, u, Real(weight), integrals);
    const Real* mass = at(layout.mass);
    for_each(plan_.mass_columns,
             [&](int row, int column) { u[row] = multiply_add(*mass++, coupling[column], u[row]); });
  }
  if constexpr (Tableau::d[i] != 0.0) {
    const Real factor = Real(Tableau::d[i]) * length_;
    for (int row = 0; row < plan_.states; ++row) u[row] = multiply_add(factor, at(layout.time_derivative)[row], u[row]);
  }
  solve(plan_.elimination, at(layout.matrix), at(layout.inverse_pivots), u);
}

template <class Tableau, class Real>
void PackStep<Tableau, Real>::finish_integrals() {
  const Layout& layout = plan_.layout;
  Real* const direction = at(layout.coupling);
  for (int row = 0; row < plan_.states; ++row) direction[row] = length_ * weighted<QuadratureWeights>(row);
  Real* const integrals = at(layout.step_integrals);
  for (int i = 0; i < plan_.integrals; ++i) integrals[i] = length_ * integrals[i];
  const Real time = Real(integrate::quadrature_time_weight<Tableau>()) * length_ * length_;
  evaluator_.add_integrand_tangent(direction, time, integrals);
}

}  // namespace gateswing::lanes

#include "gateswing/lanes/pack_control.h"
