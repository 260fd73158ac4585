// What the comparison asks of a solver from elsewhere.
#pragma once

#include <Eigen/Core>
#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "shared/equations.h"

namespace gateswing::bench {

/// Counted over all stretches.
struct Work {
  long steps = 0;
  long rejections = 0;
};

/// Equations in a state, carried on stretch by stretch of smooth inputs.
class Outside {
 public:
  explicit Outside(Equations& equations) : equations_(equations) {}
  Outside(const Outside&) = delete;
  Outside& operator=(const Outside&) = delete;
  Outside(Outside&&) = delete;
  Outside& operator=(Outside&&) = delete;
  virtual ~Outside() = default;

  /// Starts anew at `time` from the state reached; the inputs are smooth to `stop`, which is not to be stepped across.
  virtual void enter(double time, double stop) = 0;
  /// Goes on to `time`; false where the solver gives up.
  virtual bool reach(double time) = 0;
  [[nodiscard]] virtual Eigen::VectorXd state() const = 0;
  /// Steps since construction.
  [[nodiscard]] virtual Work work() = 0;

 protected:
  Equations& equations() { return equations_; }

 private:
  Equations& equations_;
};

struct Setting {
  std::string family;  ///< "SUNDIALS", "Odeint"
  std::string name;
  std::function<std::unique_ptr<Outside>(Equations& equations, const Eigen::VectorXd& start, double tolerance)> make;
};

/// Several each; none where the library was built without.
std::vector<Setting> sundials_settings();
std::vector<Setting> odeint_settings();

}  // namespace gateswing::bench
