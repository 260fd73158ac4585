// Boost.Odeint's rosenbrock4, the method of this library's Rodas4 on storage of run-time size, with its controller.
//
// Its coefficient d4 has the wrong sign, which makes it first order where the right-hand side depends on time, and is
// replaced. It judges the root mean square of the scaled errors, this library the largest.
#include "shared/ublas_in_cpp20.h"  // first: what follows needs it

#include <boost/numeric/odeint/stepper/rosenbrock4.hpp>
#include <boost/numeric/odeint/stepper/rosenbrock4_controller.hpp>
#include <boost/numeric/ublas/matrix.hpp>
#include <boost/numeric/ublas/vector.hpp>
#include <cmath>

#include "gateswing/integrate/tableau.h"
#include "shared/outside.h"

namespace gateswing::bench {
namespace {

namespace odeint = boost::numeric::odeint;
using UblasVector = boost::numeric::ublas::vector<double>;
using UblasMatrix = boost::numeric::ublas::matrix<double>;  // row-major

struct CorrectedCoefficients : odeint::default_rosenbrock_coefficients<double> {
  const double d4 = integrate::Rodas4::d[3];
};

Eigen::Map<const Eigen::VectorXd> map(const UblasVector& x) {
  return {x.data().begin(), static_cast<Eigen::Index>(x.size())};
}
Eigen::Map<Eigen::VectorXd> map(UblasVector& x) {
  return {x.data().begin(), static_cast<Eigen::Index>(x.size())};
}

class Rosenbrock4 final : public Outside {
 public:
  Rosenbrock4(Equations& equations, const Eigen::VectorXd& start, double tolerance)
      : Outside(equations),
        controller_(tolerance, tolerance),
        columns_(equations.size(), equations.size()),
        before_(static_cast<std::size_t>(start.size())),
        after_(before_),
        now_(before_) {
    map(after_) = start;
    map(now_) = start;
  }

  void enter(double time, double stop) override {
    constexpr double first = 1e-5;  // of the stretch
    equations().enter_segment(time);
    time_ = time;
    stop_ = stop;
    step_ = first * (stop - time);
  }

  bool reach(double time) override {
    constexpr long most_attempts = 10'000'000;
    while (time_ < time) {
      if (work_.steps + work_.rejections > most_attempts || !std::isfinite(step_)) return false;
      attempt();
    }
    if (time == time_) {
      now_ = after_;
    } else {
      controller_.stepper().prepare_dense_output();
      controller_.stepper().calc_state(time, now_, before_, before_time_, after_, time_);
    }
    return map(now_).allFinite();
  }

  [[nodiscard]] Eigen::VectorXd state() const override { return map(now_); }
  [[nodiscard]] Work work() override { return work_; }

 private:
  void attempt() {
    const auto rates = [this](const UblasVector& x, UblasVector& g, double t) { equations().rates(t, map(x), map(g)); };
    const auto jacobian = [this](const UblasVector& x, UblasMatrix& values, double t, UblasVector& slope) {
      equations().linearize(t, map(x), columns_, map(slope));
      Eigen::Map<Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>>(
          values.data().begin(), columns_.rows(), columns_.cols()) = columns_;
    };
    before_ = after_;
    before_time_ = time_;
    const double wanted = step_;
    const bool last = step_ >= stop_ - time_;
    if (last) step_ = stop_ - time_;
    if (controller_.try_step(std::make_pair(rates, jacobian), after_, time_, step_) != odeint::success) {
      ++work_.rejections;
      return;
    }
    ++work_.steps;
    if (last) time_ = stop_;
    step_ = std::max(step_, last ? wanted : 0.0);
  }

  odeint::rosenbrock4_controller<odeint::rosenbrock4<double, CorrectedCoefficients>> controller_;
  Eigen::MatrixXd columns_;
  UblasVector before_, after_, now_;
  double before_time_ = 0.0, time_ = 0.0, stop_ = 0.0, step_ = 0.0;
  Work work_;
};

}  // namespace

std::vector<Setting> odeint_settings() {
  return {{"Odeint", "Odeint rosenbrock4", [](Equations& equations, const Eigen::VectorXd& start, double tolerance) {
             return std::make_unique<Rosenbrock4>(equations, start, tolerance);
           }}};
}

}  // namespace gateswing::bench
