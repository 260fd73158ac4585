// f, M, their Jacobian and the energy integrands of networks of one structure, a lane each. The equations are those of
// network::NetworkSystem, on storage of run-time size and without the zeros.
#pragma once

#include <array>
#include <bit>
#include <cstddef>
#include <type_traits>

#include "gateswing/device/capacitance.h"
#include "gateswing/lanes/plan.h"
#include "gateswing/lanes/scalar.h"
#include "gateswing/network/small_cholesky.h"

namespace gateswing::lanes {

/// A square row-major matrix of n rows at `values`.
template <class Real>
struct Block {
  Real* values;
  int n;
  Real& operator()(int row, int column) { return values[row * n + column]; }
  const Real& operator()(int row, int column) const { return values[row * n + column]; }
};

/// Calls visit(list, item) for each item of each list.
template <class T, class Visit>
void for_each(const Lists<T>& lists, const Visit& visit) {
  const T* item = lists.items.data();
  const int* const past = lists.past.data();
  for (int list = 0; list < static_cast<int>(lists.past.size()); ++list) {
    for (const T* const end = lists.items.data() + past[list]; item != end; ++item) visit(list, *item);
  }
}

/// work(count), with a small count as a constant, so that loops over it unroll.
template <class Work>
void with_constant(int count, const Work& work) {
  switch (count) {
    case 0:
      return work(std::integral_constant<int, 0>{});
    case 1:
      return work(std::integral_constant<int, 1>{});
    case 2:
      return work(std::integral_constant<int, 2>{});
    case 3:
      return work(std::integral_constant<int, 3>{});
    default:
      return work(count);
  }
}

template <class Real>
class Evaluator {
 public:
  Evaluator(const Plan& plan, Real* memory) : plan_(plan), memory_(memory) {}

  /// M, -J as its LU wants it, df/dt, f and the integrands at x, `elapsed` [s] after the segment's start.
  void linearize(const Real& elapsed, const Real* x);
  /// r = M0 M(x)^-1 f(x) with M0 from the last linearize, f on algebraic rows; p += weight times the integrands.
  void residual(const Real& elapsed, const Real* x, Real* r, const Real& weight, Real* p);
  /// dp += change of the integrands along `direction` and `time`, at the last linearize.
  void add_integrand_tangent(const Real* direction, const Real& time, Real* dp);

 private:
  [[nodiscard]] Real* at(int offset) const { return memory_ + offset; }
  [[nodiscard]] int resistor_voltages() const { return plan_.states + plan_.ports; }
  [[nodiscard]] int source_voltages() const { return resistor_voltages() + plan_.resistors; }
  [[nodiscard]] int source_currents() const { return source_voltages() + plan_.sources; }
  [[nodiscard]] const Real* voltages(const Real* forms) const { return forms + plan_.states; }

  template <template <class> class Law>
  [[nodiscard]] Law<Real> law(int offset, int index) const {
    std::array<Real, sizeof(Law<double>) / sizeof(double)> fields;
    const Real* const from = at(offset) + static_cast<std::size_t>(index) * fields.size();
    for (std::size_t i = 0; i < fields.size(); ++i) fields[i] = from[i];
    return std::bit_cast<Law<Real>>(fields);
  }

  [[nodiscard]] int device_count() const {
    return static_cast<int>(plan_.channels.size() + plan_.diodes.size() + plan_.knees.size() + plan_.drivers.size());
  }

  /// forms[i] = value of each linear form at x, or, without `constants`, its change along x and time.
  template <bool constants>
  void read_forms(const Real* x, const Real& time, Real* forms) const;
  void evaluate_laws(const Real* v, const Real& elapsed, Real* i) const;
  void linearize_laws(const Real* v, const Real& elapsed, Real* i);
  void linearize_drivers(const Real* v, const Real& elapsed, Real* i, Real* slope);
  void take_currents(const Real* currents, Real* f) const;
  void add_integrands(const Real* forms, const Real* currents, const Real* f, const Real& weight, Real* p) const;
  Real* add_device_powers(const Real* forms, const Real* currents, const Real& weight, Real* p) const;
  void change_currents(const Real* forms, const Real& time, Real* change) const;
  void linearize_capacitors(const Real* v);
  void assemble_jacobian(const Real* f);
  void find_rates(Block<Real> block, Real* rates) const {
    network::factorize_leading_block(block, block.n);
    network::solve_leading_block(block, rates, block.n);
  }
  template <class Take>
  void for_each_capacitance(const Real* v, const Take& take) const;

  const Plan& plan_;
  Real* memory_;
};

template <class Real>
template <bool constants>
void Evaluator<Real>::read_forms(const Real* x, const Real& time, Real* forms) const {
  const Real moved = time;
  const Real* weight = at(plan_.layout.form_weights);
  const Real* value = at(plan_.layout.form_values);
  const Real* slope = at(plan_.layout.form_slopes);
  const int* state = plan_.form_states.data();
  const int* form = plan_.form_order.data();
  const auto read_run = [&](const int* end, auto driven, auto terms) {
    for (; form != end; ++form) {
      Real sum(0.0);
      if constexpr (driven) sum = moved * *slope++;
      if constexpr (driven && constants) sum += *value++;
      for (int k = 0; k < terms; ++k) sum = multiply_add(weight[k], x[state[k]], sum);
      weight += static_cast<int>(terms);
      state += static_cast<int>(terms);
      forms[*form] = sum;
    }
  };
  for (const Plan::Copy& copy : plan_.copies) forms[copy.form] = Real(copy.sign) * x[copy.state];
  for (const Plan::FormRun& run : plan_.form_runs) {
    const int* const end = plan_.form_order.data() + run.past;
    with_constant(run.terms, [&](auto terms) {
      run.driven ? read_run(end, std::true_type{}, terms) : read_run(end, std::false_type{}, terms);
    });
  }
}

template <class Real>
void Evaluator<Real>::take_currents(const Real* currents, Real* f) const {
  const PortIndex* const port = plan_.conducting.data();
  for_each(plan_.current_stamps, [&](int i, const Stamp& stamp) {
    f[stamp.slot] = multiply_add(Real(-stamp.sign), currents[port[i]], f[stamp.slot]);
  });
}

template <class Real>
template <class Take>
void Evaluator<Real>::for_each_capacitance(const Real* v, const Take& take) const {
  const PortIndex* const port = plan_.capacitors.data();
  const int total = static_cast<int>(plan_.capacitors.size());
  int c = 0;
  for (; c < plan_.depletions; ++c)
    take(c, law<device::DepletionCoefficients>(plan_.layout.depletion_laws, c), v[port[c]]);
  for (; c < total; ++c)
    take(c, law<device::StepCoefficients>(plan_.layout.step_laws, c - plan_.depletions), v[port[c]]);
}

template <class Real>
void Evaluator<Real>::linearize(const Real& elapsed, const Real* x) {
  const Layout& layout = plan_.layout;
  Real* const forms = at(layout.base_forms);
  Real* const f = at(layout.start_residual);
  read_forms<true>(x, elapsed, forms);
  linearize_laws(voltages(forms), elapsed, at(layout.base_currents));
  for (int row = 0; row < plan_.states; ++row) f[row] = forms[row];
  take_currents(at(layout.base_currents), f);
  Real* const p = at(layout.start_integrand);
  for (int i = 0; i < plan_.integrals; ++i) p[i] = Real(0.0);
  add_integrands(forms, at(layout.base_currents), f, Real(1.0), p);
  linearize_capacitors(voltages(forms));
  assemble_jacobian(f);
  Real* const change = at(layout.currents);
  Real* const slopes = at(layout.forms);
  for (int form = 0; form < source_currents() + plan_.sources; ++form) slopes[form] = Real(0.0);
  for (int form = 0; form < plan_.driven_forms; ++form)
    slopes[plan_.form_order[static_cast<std::size_t>(form)]] = at(layout.form_slopes)[form];
  change_currents(slopes, Real(1.0), change);
  Real* const time_derivative = at(layout.time_derivative);
  for (int row = 0; row < plan_.states; ++row) time_derivative[row] = slopes[row];
  take_currents(change, time_derivative);
}

template <class Real>
void Evaluator<Real>::linearize_capacitors(const Real* v) {
  const Layout& layout = plan_.layout;
  Real* const mass = at(layout.mass);
  Real* const slope = at(layout.capacitance_slopes);
  Real* const value = at(layout.scratch);
  for (std::size_t e = 0; e < plan_.mass_slots.size(); ++e) mass[e] = at(layout.constant_mass)[e];
  for_each_capacitance(v, [&](int c, const auto& law, const Real& voltage) {
    const auto capacitance = device::capacitance(law, device::seed<1>(voltage, 0));
    value[c] = capacitance.value;
    slope[c] = capacitance.derivative[0];
  });
  for_each(plan_.mass_stamps, [&](int c, const Stamp& stamp) {
    mass[stamp.slot] = multiply_add(Real(stamp.sign), value[c], mass[stamp.slot]);
  });
  Real* const base = at(layout.base_block);
  for (std::size_t place = 0; place < plan_.constant_block.size(); ++place) {
    const int entry = plan_.constant_block[place];
    base[place] = entry < 0 ? Real(0.0) : mass[entry];
  }
}

template <class Real>
void Evaluator<Real>::assemble_jacobian(const Real* f) {
  const Layout& layout = plan_.layout;
  Real* const matrix = at(layout.minus_jacobian);
  for (int slot = 0; slot < plan_.elimination.slots; ++slot) matrix[slot] = Real(0.0);
  const Real* const weight = at(layout.form_weights);
  for (const Plan::LinearTerm& term : plan_.linear_terms) matrix[term.slot] -= weight[term.weight];
  const Real* const slope = at(layout.slopes);
  for_each(plan_.slope_stamps, [&](int s, const Stamp& stamp) {
    matrix[stamp.slot] = multiply_add(Real(stamp.sign), slope[s], matrix[stamp.slot]);
  });
  // d(M(x) g)/dx with the rates g = M^-1 f held fixed.
  const int n = plan_.variable_size;
  Real* const block = at(layout.block);
  Real* const rates = at(layout.scratch);
  for (int place = 0; place < n * n; ++place) block[place] = at(layout.base_block)[place];
  for (int row = 0; row < n; ++row) rates[row] = f[row];
  find_rates({block, n}, rates);
  Real* const growth = rates + n;
  for (std::size_t c = 0; c < plan_.capacitors.size(); ++c) growth[c] = Real(0.0);
  for_each(plan_.rate_terms, [&](int c, const Stamp& term) { growth[c] += Real(term.sign) * rates[term.slot]; });
  for (std::size_t c = 0; c < plan_.capacitors.size(); ++c) growth[c] *= at(layout.capacitance_slopes)[c];
  for_each(plan_.capacitor_stamps, [&](int c, const Stamp& stamp) {
    matrix[stamp.slot] = multiply_add(Real(stamp.sign), growth[c], matrix[stamp.slot]);
  });
}

template <class Real>
void Evaluator<Real>::residual(const Real& elapsed, const Real* x, Real* r, const Real& weight, Real* p) {
  const Layout& layout = plan_.layout;
  Real* const forms = at(layout.forms);
  Real* const currents = at(layout.currents);
  read_forms<true>(x, elapsed, forms);
  evaluate_laws(voltages(forms), elapsed, currents);
  for (int row = 0; row < plan_.states; ++row) r[row] = forms[row];
  take_currents(currents, r);
  add_integrands(forms, currents, r, weight, p);
  const int n = plan_.variable_size;
  Real* const block = at(layout.block);
  Real* const capacitance = at(layout.scratch);
  for (int place = 0; place < n * n; ++place) {
    const int entry = plan_.constant_block[static_cast<std::size_t>(place)];
    block[place] = entry < 0 ? Real(0.0) : at(layout.constant_mass)[entry];
  }
  for_each_capacitance(voltages(forms), [&](int c, const auto& law, const Real& voltage) {
    capacitance[c] = device::capacitance(law, voltage);
  });
  for_each(plan_.block_stamps, [&](int c, const Stamp& stamp) {
    block[stamp.slot] = multiply_add(Real(stamp.sign), capacitance[c], block[stamp.slot]);
  });
  Real* const rates = capacitance;
  for (int row = 0; row < n; ++row) rates[row] = r[row];
  find_rates({block, n}, rates);
  const Block<Real> base{at(layout.base_block), n};
  for (int row = 0; row < n; ++row) {
    Real sum(0.0);
    for (int column = 0; column < n; ++column) sum = multiply_add(base(row, column), rates[column], sum);
    r[row] = sum;
  }
}

}  // namespace gateswing::lanes

#include "gateswing/lanes/evaluator_laws.h"
