// NAND gate: implicit problem C(y) y' = f(t, y) with voltage-dependent capacitances and inputs with corners every 5 ns.
// Equations and reference solution (PSIDE, tolerance 1e-16): Test Set for Initial Value Problem Solvers, as carried by
// the R package deTestSet 1.1.7.4. The reference holds for the set's own transistor law, whose second kind has a ten
// times smaller gain in reverse; with a symmetric gain y10 is 2.7 % off at any tolerance.
#pragma once

#include "integrate/problems/problem_system.h"

namespace gateswing::integrate::problems {

// Periodic trapezoid from 0 to 5 V with ramps of 5 ns, and its slope inside the segment that holds `inside`.
struct GatePulse {
  double delay, period;

  double slope(double inside) const {
    const double phase = std::fmod(inside, period);
    if (phase >= delay && phase < delay + 5.0) return 1.0;
    if (phase >= period - 5.0) return -1.0;
    return 0.0;
  }
  template <class T>
  T value(const T& t, double inside) const {
    const double rounds = std::floor(inside / period) * period;
    const T phase = t - rounds;
    if (slope(inside) > 0.0) return phase - delay;
    if (slope(inside) < 0.0) return period - phase;
    const bool high = std::fmod(inside, period) > delay;
    return T(high ? 5.0 : 0.0);
  }
};

struct NandGate {
  static constexpr int size = 14;
  static constexpr bool mass_depends_on_state = true;
  static constexpr double end_time = 80.0;     // [ns]
  static constexpr double corner_every = 5.0;  // [ns]
  static constexpr States<double, size> start{5.0,  5.0,  -2.5,    -2.5, 5.0,     3.62385, 5.0,
                                              -2.5, -2.5, 3.62385, 0.0,  3.62385, -2.5,    -2.5};
  static constexpr States<double, size> reference{0.4971088699385777e1,  0.4999752103929311e1,   -0.2499998781491227e1,
                                                  -0.2499999999999975e1, 0.4970837023296724e1,   -0.2091214032073855e0,
                                                  0.4970593243278363e1,  -0.2500077409198803e1,  -0.2499998781491227e1,
                                                  -0.2090289583878100e0, -0.2399999999966269e-3, -0.2091214032073855e0,
                                                  -0.2499999999999991e1, -0.2500077409198803e1};

  double inside = 0.0;  // [ns], any time inside the present segment between two corners

  struct Transistor {
    double threshold, body_factor, surface, gain, reverse_gain;
  };
  static constexpr Transistor load{-2.43, 0.2, 1.28, 5.35e-4, 5.35e-4};
  static constexpr Transistor driver{0.2, 0.035, 1.01, 1.748e-3, 1.748e-4};

  template <class T>
  static T forward(const Transistor& m, double gain, const T& vds, const T& vgs, const T& vbs) {
    using std::sqrt;
    constexpr double channel_shortening = 0.02;
    const T overdrive = vgs - m.threshold - m.body_factor * (sqrt(m.surface - vbs) - std::sqrt(m.surface));
    if (!(overdrive > 0.0)) return T(0.0);
    if (!(overdrive > vds)) return -gain * overdrive * overdrive * (1.0 + channel_shortening * vds);
    return -gain * vds * (2.0 * overdrive - vds) * (1.0 + channel_shortening * vds);
  }
  template <class T>
  static T current(const Transistor& m, const T& vds, const T& vgs, const T& vbs, const T& vgd, const T& vbd) {
    if (vds > 0.0) return forward(m, m.gain, vds, vgs, vbs);
    return -forward(m, m.reverse_gain, T(-vds), vgd, vbd);
  }
  template <class T>
  static T junction_current(const T& v) {
    using std::exp;
    if (v > 0.0) return T(0.0);
    return -1e-14 * (exp(v / 25.85) - 1.0);
  }
  template <class T>
  static T junction_capacitance(const T& v) {
    using std::sqrt;
    constexpr double zero_bias = 2.4e-5;
    if (v > 0.0) return zero_bias * (1.0 + v / 1.74);
    return zero_bias / sqrt(1.0 - v / 0.87);
  }

  template <class T>
  States<T, size> rhs(const States<T, size>& y, const T& t) const {
    constexpr double rg = 4.0, rb = 10.0, vdd = 5.0, vbb = -2.5, cg = 0.6e-4;
    constexpr GatePulse pulse1{5.0, 20.0}, pulse2{15.0, 40.0};
    const T v1 = pulse1.value(t, inside), v2 = pulse2.value(t, inside);
    const double slope1 = cg * pulse1.slope(inside), slope2 = cg * pulse2.slope(inside);
    const T i1 = current(load, T(y[1] - y[0]), T(y[4] - y[0]), T(y[2] - y[4]), T(y[4] - y[1]), T(y[3] - vdd));
    const T i2 = current(driver, T(y[6] - y[5]), T(v1 - y[5]), T(y[7] - y[9]), T(v1 - y[6]), T(y[8] - y[4]));
    const T i3 = current(driver, T(y[11] - y[10]), T(v2 - y[10]), y[12], T(v2 - y[11]), T(y[13] - y[9]));
    const T j3 = junction_current(T(y[2] - y[4])), j4 = junction_current(T(y[3] - vdd));
    const T j9 = junction_current(T(y[8] - y[4])), j8 = junction_current(T(y[7] - y[9]));
    const T j14 = junction_current(T(y[13] - y[9])), j13 = junction_current(y[12]);
    return {-(y[0] - y[4]) / rg - i1,
            -(y[1] - vdd) / rg + i1,
            -(y[2] - vbb) / rb + j3,
            -(y[3] - vbb) / rb + j4,
            -(y[4] - y[0]) / rg - j3 - (y[4] - y[6]) / rg - j9,
            slope1 - (y[5] - y[9]) / rg - i2,
            slope1 - (y[6] - y[4]) / rg + i2,
            -(y[7] - vbb) / rb + j8,
            -(y[8] - vbb) / rb + j9,
            -(y[9] - y[5]) / rg - j8 - (y[9] - y[11]) / rg - j14,
            slope2 - y[10] / rg - i3,
            slope2 - (y[11] - y[9]) / rg + i3,
            -(y[12] - vbb) / rb + j13,
            -(y[13] - vbb) / rb + j14};
  }

  template <class T>
  MassRows<T, size> mass(const States<T, size>& y) const {
    constexpr double cg = 0.6e-4, c9 = 0.5e-4, vdd = 5.0;
    const T c3 = junction_capacitance(T(y[2] - y[4])), c8 = junction_capacitance(T(y[7] - y[9]));
    const T cb9 = junction_capacitance(T(y[8] - y[4])), c14 = junction_capacitance(T(y[13] - y[9]));
    MassRows<T, size> rows{};
    for (const std::size_t i : {0u, 1u, 5u, 6u, 10u, 11u}) rows[i][i] = T(cg);
    rows[0][4] = rows[1][4] = rows[4][0] = rows[4][1] = T(-cg);
    rows[2][2] = c3;
    rows[2][4] = rows[4][2] = -c3;
    rows[3][3] = junction_capacitance(T(y[3] - vdd));
    rows[4][4] = 2.0 * cg + c3 + cb9 + c9;
    rows[8][8] = cb9;
    rows[4][8] = rows[8][4] = -cb9;
    rows[7][7] = c8;
    rows[7][9] = rows[9][7] = -c8;
    rows[9][9] = c8 + c14 + c9;
    rows[13][13] = c14;
    rows[9][13] = rows[13][9] = -c14;
    rows[12][12] = junction_capacitance(y[12]);
    return rows;
  }
};

}  // namespace gateswing::integrate::problems
