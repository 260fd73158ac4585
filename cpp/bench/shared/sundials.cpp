// CVODE, ARKODE and IDA on x' = g(x, t) with the exact Jacobian, dense.
//
// Relative tolerance and absolute tolerance in 1 V or 1 A are equal, as in this library. What is not set here is as the
// solver has it: first steps, step control, when the Jacobian is taken anew.
#include <arkode/arkode_arkstep.h>
#include <cvode/cvode.h>
#include <ida/ida.h>
#include <nvector/nvector_serial.h>
#include <sundials/sundials_context.h>
#include <sunlinsol/sunlinsol_dense.h>
#include <sunmatrix/sunmatrix_dense.h>

#include <initializer_list>

#include "shared/outside.h"

namespace gateswing::bench {
namespace {

constexpr long most_steps = 10'000'000;

/// The vectors and the linear solver that all three want.
class Sundials : public Outside {
 public:
  Sundials(Equations& equations, const Eigen::VectorXd& start) : Outside(equations) {
    SUNContext_Create(nullptr, &context_);
    state_ = N_VNew_Serial(static_cast<sunindextype>(equations.size()), context_);
    jacobian_ = SUNDenseMatrix(N_VGetLength(state_), N_VGetLength(state_), context_);
    solver_ = SUNLinSol_Dense(state_, jacobian_, context_);
    slope_.resize(equations.size());
    map(state_) = start;
  }
  Sundials(const Sundials&) = delete;
  Sundials& operator=(const Sundials&) = delete;
  Sundials(Sundials&&) = delete;
  Sundials& operator=(Sundials&&) = delete;
  ~Sundials() override {
    SUNLinSolFree(solver_);
    SUNMatDestroy(jacobian_);
    N_VDestroy(state_);
    SUNContext_Free(&context_);
  }

  [[nodiscard]] Eigen::VectorXd state() const override { return map(state_); }
  [[nodiscard]] Work work() override {
    count();
    return work_;
  }

 protected:
  static Eigen::Map<Eigen::VectorXd> map(N_Vector values) {
    return {N_VGetArrayPointer(values), static_cast<Eigen::Index>(N_VGetLength(values))};
  }
  static Eigen::Map<Eigen::MatrixXd> map(SUNMatrix matrix) {
    return {SUNDenseMatrix_Data(matrix), SUNDenseMatrix_Rows(matrix), SUNDenseMatrix_Columns(matrix)};
  }
  static int rates(double t, N_Vector x, N_Vector g, void* self) {
    static_cast<Sundials*>(self)->equations().rates(t, map(x), map(g));
    return map(g).allFinite() ? 0 : 1;
  }
  static int linearize(double t, N_Vector x, N_Vector, SUNMatrix jacobian, void* self, N_Vector, N_Vector, N_Vector) {
    auto& solver = *static_cast<Sundials*>(self);
    solver.equations().linearize(t, map(x), map(jacobian), solver.slope_);
    return 0;
  }

  using Counter = int (*)(void*, long*);

  /// Adds what happened since the solver's counters were last reset.
  virtual void count() = 0;
  void add(void* memory, Counter steps, std::initializer_list<Counter> failures) {
    const auto read = [memory](Counter counter) {
      long value = 0;
      counter(memory, &value);
      return value;
    };
    work_.steps += read(steps);
    for (const Counter counter : failures) work_.rejections += read(counter);
  }

  SUNContext context_ = nullptr;
  N_Vector state_ = nullptr;
  SUNMatrix jacobian_ = nullptr;
  SUNLinearSolver solver_ = nullptr;
  Eigen::VectorXd slope_;

 private:
  Work work_;
};

class Cvode final : public Sundials {
 public:
  Cvode(Equations& equations, const Eigen::VectorXd& start, double tolerance, int order, bool limit_detection)
      : Sundials(equations, start), memory_(CVodeCreate(CV_BDF, context_)) {
    CVodeInit(memory_, rates, 0.0, state_);
    CVodeSStolerances(memory_, tolerance, tolerance);
    CVodeSetUserData(memory_, this);
    CVodeSetLinearSolver(memory_, solver_, jacobian_);
    CVodeSetJacFn(memory_, linearize);
    CVodeSetMaxOrd(memory_, order);
    CVodeSetStabLimDet(memory_, limit_detection ? SUNTRUE : SUNFALSE);
    CVodeSetMaxNumSteps(memory_, most_steps);
    CVodeSetErrFile(memory_, nullptr);
  }
  Cvode(const Cvode&) = delete;
  Cvode& operator=(const Cvode&) = delete;
  Cvode(Cvode&&) = delete;
  Cvode& operator=(Cvode&&) = delete;
  ~Cvode() override { CVodeFree(&memory_); }

  void enter(double time, double stop) override {
    count();
    equations().enter_segment(time);
    CVodeReInit(memory_, time, state_);
    CVodeSetStopTime(memory_, stop);
  }
  bool reach(double time) override {
    double reached = 0.0;
    return CVode(memory_, time, state_, &reached, CV_NORMAL) >= 0;
  }

 private:
  void count() override { add(memory_, CVodeGetNumSteps, {CVodeGetNumErrTestFails, CVodeGetNumStepSolveFails}); }

  void* memory_;
};

/// Diagonally implicit Runge-Kutta, L-stable.
class Arkode final : public Sundials {
 public:
  Arkode(Equations& equations, const Eigen::VectorXd& start, double tolerance, ARKODE_DIRKTableID table)
      : Sundials(equations, start), memory_(ARKStepCreate(nullptr, rates, 0.0, state_, context_)) {
    ARKStepSetTableNum(memory_, table, ARKODE_ERK_NONE);
    ARKStepSStolerances(memory_, tolerance, tolerance);
    ARKStepSetUserData(memory_, this);
    ARKStepSetLinearSolver(memory_, solver_, jacobian_);
    ARKStepSetJacFn(memory_, linearize);
    ARKStepSetInterpolantType(memory_, ARK_INTERP_LAGRANGE);
    ARKStepSetDeduceImplicitRhs(memory_, SUNTRUE);
    ARKStepSetMaxNumSteps(memory_, most_steps);
    ARKStepSetErrFile(memory_, nullptr);
  }
  Arkode(const Arkode&) = delete;
  Arkode& operator=(const Arkode&) = delete;
  Arkode(Arkode&&) = delete;
  Arkode& operator=(Arkode&&) = delete;
  ~Arkode() override { ARKStepFree(&memory_); }

  void enter(double time, double stop) override {
    count();
    equations().enter_segment(time);
    ARKStepReInit(memory_, nullptr, rates, time, state_);
    ARKStepSetStopTime(memory_, stop);
  }
  bool reach(double time) override {
    double reached = 0.0;
    return ARKStepEvolve(memory_, time, state_, &reached, ARK_NORMAL) >= 0;
  }

 private:
  void count() override { add(memory_, ARKStepGetNumSteps, {ARKStepGetNumErrTestFails, ARKStepGetNumStepSolveFails}); }

  void* memory_;
};

/// On 0 = x' - g(x, t).
class Ida final : public Sundials {
 public:
  Ida(Equations& equations, const Eigen::VectorXd& start, double tolerance, int order)
      : Sundials(equations, start), rate_(N_VClone(state_)), memory_(IDACreate(context_)) {
    IDAInit(memory_, residual, 0.0, state_, rate_);
    IDASStolerances(memory_, tolerance, tolerance);
    IDASetUserData(memory_, this);
    IDASetLinearSolver(memory_, solver_, jacobian_);
    IDASetJacFn(memory_, linearize_residual);
    IDASetMaxOrd(memory_, order);
    IDASetMaxNumSteps(memory_, most_steps);
    IDASetErrFile(memory_, nullptr);
  }
  Ida(const Ida&) = delete;
  Ida& operator=(const Ida&) = delete;
  Ida(Ida&&) = delete;
  Ida& operator=(Ida&&) = delete;
  ~Ida() override {
    IDAFree(&memory_);
    N_VDestroy(rate_);
  }

  void enter(double time, double stop) override {
    count();
    equations().enter_segment(time);
    equations().rates(time, map(state_), map(rate_));
    IDAReInit(memory_, time, state_, rate_);
    IDASetStopTime(memory_, stop);
  }
  bool reach(double time) override {
    double reached = 0.0;
    return IDASolve(memory_, time, &reached, state_, rate_, IDA_NORMAL) >= 0;
  }

 private:
  static int residual(double t, N_Vector x, N_Vector rate, N_Vector result, void* self) {
    static_cast<Ida*>(self)->equations().rates(t, map(x), map(result));
    map(result) = map(rate) - map(result);
    return map(result).allFinite() ? 0 : 1;
  }
  static int linearize_residual(double t, double weight, N_Vector x, N_Vector, N_Vector, SUNMatrix jacobian, void* self,
                                N_Vector, N_Vector, N_Vector) {
    auto& ida = *static_cast<Ida*>(self);
    auto values = map(jacobian);
    ida.equations().linearize(t, map(x), values, ida.slope_);
    values *= -1.0;
    values.diagonal().array() += weight;
    return 0;
  }

  void count() override { add(memory_, IDAGetNumSteps, {IDAGetNumErrTestFails, IDAGetNumNonlinSolvConvFails}); }

  N_Vector rate_;
  void* memory_;
};

template <class Solver, class... Arguments>
Setting setting(const char* name, Arguments... arguments) {
  return {"SUNDIALS", name, [=](Equations& equations, const Eigen::VectorXd& start, double tolerance) {
            return std::make_unique<Solver>(equations, start, tolerance, arguments...);
          }};
}

}  // namespace

std::vector<Setting> sundials_settings() {
  return {setting<Cvode>("CVODE", 5, false),
          setting<Cvode>("CVODE, stability limit detection", 5, true),
          setting<Cvode>("CVODE, order 2", 2, false),
          setting<Arkode>("ARKODE, SDIRK 4(3)", ARKODE_SDIRK_5_3_4),
          setting<Arkode>("ARKODE, ESDIRK 4(3)", ARKODE_ESDIRK436L2SA_6_3_4),
          setting<Arkode>("ARKODE, ESDIRK 5(4)", ARKODE_ESDIRK547L2SA2_7_4_5),
          setting<Ida>("IDA", 5),
          setting<Ida>("IDA, order 2", 2)};
}

}  // namespace gateswing::bench
