// A double that counts the arithmetic done with it, for the evaluation that lanes share.
#pragma once

#include <cmath>

namespace gateswing::bench {

/// Additions, multiplications, divisions and roots count one each, comparisons and choices nothing; an exponential and
/// a logarithm what pack_functions.h spends on them, a fused multiply-add as two. Slopes that a law computes and
/// nobody reads count here and not in a kernel: one operation in a hundred, one quotient in ten.
struct Counted {
  static constexpr long per_exponential = 30;
  static constexpr long per_logarithm = 30;
  static constexpr long per_logarithm_of_one_plus = 26;
  static inline long operations = 0;  ///< so far, of all
  static inline long functions = 0;   ///< of these, within exponentials and logarithms
  static inline long quotients = 0;   ///< of these, divisions and roots, those within functions too

  double value{};

  Counted() = default;
  Counted(double number) : value(number) {}

  friend Counted operator-(Counted a) { return -a.value; }
  friend Counted operator+(Counted a, Counted b) { return count(a.value + b.value); }
  friend Counted operator-(Counted a, Counted b) { return count(a.value - b.value); }
  friend Counted operator*(Counted a, Counted b) { return count(a.value * b.value); }
  friend Counted operator/(Counted a, Counted b) { return count_quotient(a.value / b.value); }
  Counted& operator+=(Counted b) { return *this = *this + b; }
  Counted& operator-=(Counted b) { return *this = *this - b; }
  Counted& operator*=(Counted b) { return *this = *this * b; }

  friend Counted multiply_add(Counted a, Counted b, Counted c) { return a * b + c; }

  friend bool operator<(Counted a, Counted b) { return a.value < b.value; }
  friend bool operator>(Counted a, Counted b) { return a.value > b.value; }
  friend bool operator<=(Counted a, Counted b) { return a.value <= b.value; }
  friend bool operator>=(Counted a, Counted b) { return a.value >= b.value; }
  friend bool operator==(Counted a, Counted b) { return a.value == b.value; }
  friend Counted select(bool condition, Counted a, Counted b) { return condition ? a : b; }

  friend Counted abs(Counted a) { return std::abs(a.value); }
  friend Counted max(Counted a, Counted b) { return a < b ? b : a; }
  friend Counted min(Counted a, Counted b) { return b < a ? b : a; }
  friend Counted sqrt(Counted a) { return count_quotient(std::sqrt(a.value)); }
  friend Counted exp(Counted a) { return count_function(std::exp(a.value), per_exponential); }
  friend Counted log(Counted a) { return count_quotient_function(std::log(a.value), per_logarithm); }
  friend Counted log1p(Counted a) { return count_quotient_function(std::log1p(a.value), per_logarithm_of_one_plus); }

 private:
  static Counted count(double value) {
    ++operations;
    return value;
  }
  static Counted count_quotient(double value) {
    ++quotients;
    return count(value);
  }
  static Counted count_function(double value, long cost) {
    operations += cost;
    functions += cost;
    return value;
  }
  static Counted count_quotient_function(double value, long cost) {
    ++quotients;
    return count_function(value, cost);
  }
};

}  // namespace gateswing::bench
