#include "gateswing/simulate/period_correction.h"

#include <Eigen/Eigenvalues>
#include <Eigen/LU>
#include <algorithm>
#include <array>

namespace gateswing::simulate {
namespace {

using Eigen::Index;
using Eigen::VectorXd;

// Of the scale of the states; the smaller one where a run of the same steps does not bear the larger.
constexpr std::array differences{1e-6, 1e-8};
constexpr std::array temperature_differences{1e-2, 1e-4};  // [K], likewise

bool succeeded(const PeriodEnd& end) {
  return end.status == integrate::Status::success && end.state.allFinite();
}

}  // namespace

PeriodCorrection::PeriodCorrection(PeriodMap& map, const PeriodStart& start, const PeriodEnd& end,
                                   const PeriodCorrection* earlier)
    : size_(map.size()),
      scale_((1.0 + start.state.head(size_).array().abs()).matrix()),
      temperature_scale_((1.0 + start.temperatures.array().abs()).matrix()),
      ambient_(start.temperatures.size()),
      resistance_(start.temperatures.size()),
      space_(size_),
      following_(size_, 0),
      gain_(start.temperatures.size(), 0) {
  if (earlier != nullptr) {
    scale_ = earlier->scale_;
    space_ = earlier->space_;
    following_ = earlier->following_;
    gain_ = earlier->gain_;
  }
  for (Index j = 0; j < ambient_.size(); ++j) {
    const HeatedJunction& junction = map.junctions()[static_cast<std::size_t>(j)];
    ambient_[j] = junction.ambient;
    resistance_[j] = junction.resistance;
  }
  if (solve(map, start, end)) {
    change_ = combine(electrical_, heating(start, end));
  } else {
    forget(map);
  }
}

void PeriodCorrection::forget(const PeriodMap& map) {
  space_ = integrate::KrylovSpace(map.size());
  following_ = Eigen::MatrixXd::Zero(size_, ambient_.size());
  gain_ = Eigen::MatrixXd::Zero(ambient_.size(), ambient_.size());
}

VectorXd PeriodCorrection::heating(const PeriodStart& start, const PeriodEnd& end) const {
  return ambient_ + resistance_.cwiseProduct(end.heat) - start.temperatures;
}

VectorXd PeriodCorrection::scaled_defect(const PeriodStart& start, const PeriodEnd& end) const {
  return (end.state - start.state).head(size_).cwiseQuotient(scale_);
}

std::optional<VectorXd> PeriodCorrection::product(PeriodMap& map, const PeriodStart& start, const PeriodEnd& end,
                                                  const VectorXd& direction) const {
  for (const double difference : differences) {
    PeriodStart moved = start;
    moved.state.head(size_) += difference * scale_.cwiseProduct(direction);
    const PeriodEnd answer = map.repeat(moved);
    if (!succeeded(answer)) continue;
    VectorXd result(size_ + answer.heat.size());
    result << (answer.state - end.state).head(size_).cwiseQuotient(scale_), answer.heat - end.heat;
    return result / difference;
  }
  return std::nullopt;
}

bool PeriodCorrection::solve(PeriodMap& map, const PeriodStart& start, const PeriodEnd& end) {
  const auto times = [&](const VectorXd& direction) { return product(map, start, end, direction); };
  const auto coefficients = space_.solve(scaled_defect(start, end), times);
  if (!coefficients) return false;
  for (Index j = gain_.cols(); j < ambient_.size(); ++j) {
    if (!add_temperature(map, start, end, j)) return false;
  }
  electrical_ = with_coefficients(*coefficients);
  if (gain_.cols() > 0) thermal_gain_ = gain_.eigenvalues().real().maxCoeff();
  return true;
}

std::optional<PeriodCorrection::Column> PeriodCorrection::slope(PeriodMap& map, const PeriodStart& start,
                                                                const PeriodEnd& end, Index junction) const {
  for (const double difference : temperature_differences) {
    PeriodStart warmer = start;
    warmer.temperatures[junction] += difference;
    const PeriodEnd answer = map.repeat(warmer);
    if (!succeeded(answer)) continue;
    return Column{(answer.state - end.state).head(size_).cwiseQuotient(scale_) / difference,
                  (answer.heat - end.heat) / difference};
  }
  return std::nullopt;
}

bool PeriodCorrection::add_temperature(PeriodMap& map, const PeriodStart& start, const PeriodEnd& end, Index junction) {
  const std::optional<Column> moved = slope(map, start, end, junction);
  if (!moved) return false;
  const auto times = [&](const VectorXd& direction) { return product(map, start, end, direction); };
  const auto coefficients = space_.solve(moved->state, times);
  if (!coefficients) return false;
  const Column column = with_coefficients(*coefficients);
  following_.conservativeResize(Eigen::NoChange, junction + 1);
  following_.col(junction) = column.state;
  gain_.conservativeResize(Eigen::NoChange, junction + 1);
  gain_.col(junction) = resistance_.cwiseProduct(moved->heat + column.heat);
  return true;
}

PeriodCorrection::Column PeriodCorrection::with_coefficients(const VectorXd& coefficients) const {
  if (coefficients.size() == 0) return {VectorXd::Zero(size_), VectorXd::Zero(ambient_.size())};
  // A right-hand side solved before the space grew has no share in the later directions.
  const Index known = coefficients.size();
  return {space_.directions().leftCols(known) * coefficients,
          space_.products().bottomRows(ambient_.size()).leftCols(known) * coefficients};
}

PeriodCorrection::Change PeriodCorrection::combine(const Column& electrical, const VectorXd& heating) const {
  Change change{electrical.state, VectorXd::Zero(heating.size()), 0.0};
  if (heating.size() > 0) {
    const Eigen::MatrixXd identity = Eigen::MatrixXd::Identity(heating.size(), heating.size());
    const VectorXd wanted = heating + resistance_.cwiseProduct(electrical.heat);
    change.temperatures = (identity - gain_).partialPivLu().solve(wanted);
    change.state += following_ * change.temperatures;
    change.size = change.temperatures.cwiseQuotient(temperature_scale_).cwiseAbs().maxCoeff();
  }
  if (size_ > 0) change.size = std::max(change.size, change.state.cwiseAbs().maxCoeff());
  change.state = change.state.cwiseProduct(scale_);
  return change;
}

PeriodCorrection::Change PeriodCorrection::electrical_change() const {
  return {electrical_.state.cwiseProduct(scale_), VectorXd::Zero(ambient_.size()),
          size_ > 0 ? electrical_.state.cwiseAbs().maxCoeff() : 0.0};
}

PeriodCorrection::Change PeriodCorrection::change_after(const PeriodStart& start, const PeriodEnd& end) const {
  const integrate::KrylovSpace::Projection projection = space_.project(scaled_defect(start, end));
  Column column = with_coefficients(projection.coefficients);
  column.state += projection.rest;
  return combine(column, heating(start, end));
}

}  // namespace gateswing::simulate
