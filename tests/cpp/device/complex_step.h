// A scalar that carries an imaginary part as small as one likes: f(x + i h) = f(x) + i h f'(x) with no difference
// taken, hence a derivative exact to rounding that shares nothing with the chain rule under test. Comparisons look at
// the real part, so laws made of analytic pieces can be stepped too.
#pragma once

#include <cmath>
#include <complex>

namespace gateswing::device::test {

struct ComplexStep {
  std::complex<double> z;

  ComplexStep(double real = 0.0) : z(real) {}
  explicit ComplexStep(std::complex<double> value) : z(value) {}

  friend ComplexStep operator-(const ComplexStep& a) { return ComplexStep(-a.z); }
  friend ComplexStep operator+(const ComplexStep& a, const ComplexStep& b) { return ComplexStep(a.z + b.z); }
  friend ComplexStep operator-(const ComplexStep& a, const ComplexStep& b) { return ComplexStep(a.z - b.z); }
  friend ComplexStep operator*(const ComplexStep& a, const ComplexStep& b) { return ComplexStep(a.z * b.z); }
  friend ComplexStep operator/(const ComplexStep& a, const ComplexStep& b) { return ComplexStep(a.z / b.z); }
  friend bool operator<(const ComplexStep& a, const ComplexStep& b) { return a.z.real() < b.z.real(); }
  friend bool operator>(const ComplexStep& a, const ComplexStep& b) { return a.z.real() > b.z.real(); }
  friend ComplexStep select(bool condition, const ComplexStep& a, const ComplexStep& b) { return condition ? a : b; }

  friend ComplexStep exp(const ComplexStep& a) { return ComplexStep(std::exp(a.z)); }
  friend ComplexStep log(const ComplexStep& a) { return ComplexStep(std::log(a.z)); }
  friend ComplexStep sqrt(const ComplexStep& a) { return ComplexStep(std::sqrt(a.z)); }
  friend ComplexStep asinh(const ComplexStep& a) { return ComplexStep(std::asinh(a.z)); }
  friend ComplexStep pow(const ComplexStep& a, double exponent) { return ComplexStep(std::pow(a.z, exponent)); }
  // The standard library has no complex expm1 and log1p; these neglect the square of the imaginary part, which
  // vanishes.
  friend ComplexStep expm1(const ComplexStep& a) { return ComplexStep({std::expm1(a.z.real()), std::exp(a.z).imag()}); }
  friend ComplexStep log1p(const ComplexStep& a) {
    return ComplexStep({std::log1p(a.z.real()), std::log(1.0 + a.z).imag()});
  }
};

}  // namespace gateswing::device::test
