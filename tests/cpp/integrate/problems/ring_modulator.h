// Ring modulator: four diodes between two transformers, stiff and oscillating (Horneber 1976). Equations and reference
// solution (RADAU, tolerance 1e-12): Test Set for Initial Value Problem Solvers, as carried by the R package
// deTestSet 1.1.7.4.
#pragma once

#include "integrate/problems/problem_system.h"

namespace gateswing::integrate::problems {

struct RingModulator {
  static constexpr int size = 15;
  static constexpr double end_time = 1e-3;
  static constexpr States<double, size> start{};
  static constexpr States<double, size> reference{
      -0.2339057358486745e-1, -0.7367485485540825e-2, 0.2582956709291169e0,  -0.4064465721283450e0,
      -0.4039455665149794e0,  0.2607966765422943e0,   0.1106761861269975e0,  0.2939904342435596e-6,
      -0.2840029933642329e-7, 0.7267198267264553e-3,  0.7929487196960840e-3, -0.7255283495698965e-3,
      -0.7941401968526521e-3, 0.7088495416976114e-4,  0.2390059075236570e-4};

  template <class T>
  States<T, size> rhs(const States<T, size>& y, const T& t) const {
    using std::exp;
    constexpr double c = 1.6e-8, cs = 2e-12, cp = 1e-8, r = 25e3, rp = 50.0, lh = 4.45, ls1 = 2e-3, ls = 5e-4;
    constexpr double rg1 = 36.3, rg = 17.3, ri = 50.0, rc = 600.0, pi = 3.14159265358979323846;
    const auto diode = [](const T& v) -> T { return 40.67286402e-9 * (exp(17.7493332 * v) - 1.0); };
    const T in1 = 0.5 * sine(T(2e3 * pi * t)), in2 = 2.0 * sine(T(2e4 * pi * t));
    const T q1 = diode(y[2] - y[4] - y[6] - in2), q2 = diode(-y[3] + y[5] - y[6] - in2);
    const T q3 = diode(y[3] + y[4] + y[6] + in2), q4 = diode(-y[2] - y[5] + y[6] + in2);
    return {(y[7] - 0.5 * y[9] + 0.5 * y[10] + y[13] - y[0] / r) / c,
            (y[8] - 0.5 * y[11] + 0.5 * y[12] + y[14] - y[1] / r) / c,
            (y[9] - q1 + q4) / cs,
            (-y[10] + q2 - q3) / cs,
            (y[11] + q1 - q3) / cs,
            (-y[12] - q2 + q4) / cs,
            (-y[6] / rp + q1 + q2 - q3 - q4) / cp,
            -y[0] / lh,
            -y[1] / lh,
            (0.5 * y[0] - y[2] - rg * y[9]) / ls,
            (-0.5 * y[0] + y[3] - rg * y[10]) / ls,
            (0.5 * y[1] - y[4] - rg * y[11]) / ls,
            (-0.5 * y[1] + y[5] - rg * y[12]) / ls,
            (-y[0] + in1 - (ri + rg1) * y[13]) / ls1,
            (-y[1] - (rc + rg1) * y[14]) / ls1};
  }
};

}  // namespace gateswing::integrate::problems
