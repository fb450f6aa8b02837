#include "record/response.h"

#include <Eigen/Cholesky>
#include <Eigen/Core>
#include <cmath>

#include "base/text.h"
#include "numeric/linear_least_squares.h"

namespace tapersight {
namespace {

constexpr double kSlippedBelow =
    0.5;  // a distance wrong by 15 % answers within 0.85 .. 1.18 of the typed one
constexpr double kSlippedAbove = 1.6;

FenceError error_of(const MeasurementEntry& m) {
  FenceError error;
  error.turns = m.turns;
  error.theta = m.theta;
  error.u = m.u;
  error.dof = m.dof;
  error.coverage_factor = t_factor(kCoverage, m.dof);
  error.U = error.coverage_factor * m.u;
  return error;
}

// The weighted mean of two states between which nothing was moved.
FenceError mean_of(const FenceError& a, const FenceError& b) {
  if (!(a.u > 0) || !(b.u > 0)) return a.u > 0 ? b : a;
  const double weight_a = 1 / (a.u * a.u);
  const double weight_b = 1 / (b.u * b.u);
  const double share_a = weight_a / (weight_a + weight_b);
  FenceError mean = b;
  mean.theta = share_a * a.theta + (1 - share_a) * b.theta;
  const CombinedUncertainty sum = combine({{share_a * a.u, a.dof}, {(1 - share_a) * b.u, b.dof}});
  mean.u = sum.u;
  mean.dof = sum.dof;
  mean.coverage_factor = t_factor(kCoverage, mean.dof);
  mean.U = mean.coverage_factor * mean.u;
  return mean;
}

// Reads the entries in order into states and the intended turns between them.
void gather(const std::vector<RecordEntry>& entries, RecordAnalysis& analysis) {
  Step pending;
  for (const RecordEntry& entry : entries) {
    if (const auto* move = std::get_if<MoveEntry>(&entry)) {
      pending.intended += move->intended_turn();
      pending.u_intended = std::hypot(pending.u_intended, move->u_mm / move->pivot_distance_mm);
      analysis.moved_since = true;
      continue;
    }
    const FenceError state = error_of(std::get<MeasurementEntry>(entry));
    if (analysis.states.empty() || analysis.moved_since) {
      if (!analysis.states.empty()) analysis.steps.push_back(pending);
      analysis.states.push_back(state);
    } else {
      analysis.states.back() = mean_of(analysis.states.back(), state);
    }
    pending = {};
    analysis.moved_since = false;
  }
}

MoveVerdict judged(const Step& step, double k) {
  const double seen = k * step.u_observed;
  const double allowed = k * std::sqrt(step.u_observed * step.u_observed + step.u_intended * step.u_intended +
                                       std::pow(kTrustInTypedDistance * step.intended, 2));
  if (std::fabs(step.observed - step.intended) <= allowed)
    return std::fabs(step.intended) <= seen ? MoveVerdict::kCannotBeTold : MoveVerdict::kAsExpected;
  if (std::fabs(step.observed) <= seen) return MoveVerdict::kDidNotMove;
  if (step.observed * step.intended < 0) return MoveVerdict::kWrongWay;
  const double ratio = step.observed / step.intended;
  return ratio < kSlippedBelow || ratio > kSlippedAbove ? MoveVerdict::kSlipped : MoveVerdict::kDistanceOff;
}

void judge(RecordAnalysis& analysis) {
  for (std::size_t i = 0; i < analysis.steps.size(); ++i) {
    const FenceError& before = analysis.states[i];
    const FenceError& after = analysis.states[i + 1];
    Step& step = analysis.steps[i];
    step.observed = after.theta - before.theta;
    const CombinedUncertainty sum = combine({{before.u, before.dof}, {after.u, after.dof}});
    const double k = t_factor(kCoverage, sum.dof);
    step.u_observed = sum.u;
    step.U_observed = k * sum.u;
    step.verdict = judged(step, k);
  }
}

bool tells_the_gain(const Step& step) {
  return step.intended != 0 && step.u_observed > 0 &&
         (step.verdict == MoveVerdict::kAsExpected || step.verdict == MoveVerdict::kDistanceOff ||
          step.verdict == MoveVerdict::kCannotBeTold);
}

// observed = gain * intended + noise; neighbouring steps share a state, which correlates them negatively.
void estimate_response(RecordAnalysis& analysis) {
  std::vector<std::size_t> used;
  for (std::size_t i = 0; i < analysis.steps.size(); ++i)
    if (tells_the_gain(analysis.steps[i])) used.push_back(i);
  if (used.empty()) return;
  const auto n = static_cast<Eigen::Index>(used.size());
  Eigen::VectorXd intended(n);
  Eigen::VectorXd observed(n);
  Eigen::MatrixXd covariance = Eigen::MatrixXd::Zero(n, n);
  for (Eigen::Index i = 0; i < n; ++i) {
    const std::size_t at = used[static_cast<std::size_t>(i)];
    const Step& step = analysis.steps[at];
    intended(i) = step.intended;
    observed(i) = step.observed;
    covariance(i, i) = step.u_observed * step.u_observed + step.u_intended * step.u_intended;
    if (i == 0 || used[static_cast<std::size_t>(i) - 1] + 1 != at) continue;
    const double shared = analysis.states[at].u;
    covariance(i, i - 1) = covariance(i - 1, i) = -shared * shared;
  }
  const Eigen::LLT<Eigen::MatrixXd> whitener(covariance);
  if (whitener.info() != Eigen::Success) return;
  LinearFitOptions absolute;
  absolute.weights = WeightMeaning::kAbsolute;
  const auto fit =
      fit_linear(whitener.matrixL().solve(intended), whitener.matrixL().solve(observed), {}, absolute);
  if (!fit) return;
  Response& response = analysis.response;
  response.moves_used = static_cast<int>(n);
  response.measured_gain = fit->coefficients(0);
  response.measured_u = fit->u(0);
  const double trust = 1 / (kTrustInTypedDistance * kTrustInTypedDistance);
  const double weight = 1 / (response.measured_u * response.measured_u);
  response.gain = (trust + weight * *response.measured_gain) / (trust + weight);
  response.u = 1 / std::sqrt(trust + weight);
}

Due what_is_due(const RecordAnalysis& analysis, const std::optional<Tolerance>& tolerance) {
  if (analysis.states.empty() || analysis.moved_since) return Due::kMeasure;
  if (tolerance) {
    const Verdict verdict = decide(analysis.states.back(), *tolerance).verdict;
    if (verdict == Verdict::kSquare) return Due::kNothing;
    if (verdict == Verdict::kCannotBeTold && analysis.stop_here) return Due::kMeasure;
  }
  return analysis.stop_here ? Due::kNothing : Due::kMove;
}

}  // namespace

std::string_view move_verdict_name(MoveVerdict verdict) {
  switch (verdict) {
    case MoveVerdict::kAsExpected:
      return "as expected";
    case MoveVerdict::kDistanceOff:
      return "distance off";
    case MoveVerdict::kDidNotMove:
      return "did not move";
    case MoveVerdict::kWrongWay:
      return "wrong way";
    case MoveVerdict::kSlipped:
      return "slipped";
    case MoveVerdict::kCannotBeTold:
      break;
  }
  return "cannot be told";
}

RecordAnalysis analyse_record(const std::vector<RecordEntry>& entries,
                              const std::optional<Tolerance>& tolerance) {
  RecordAnalysis analysis;
  gather(entries, analysis);
  judge(analysis);
  estimate_response(analysis);
  analysis.stop_here =
      !analysis.states.empty() && !analysis.moved_since && !analysis.states.back().sense_is_known();
  analysis.due = what_is_due(analysis, tolerance);
  return analysis;
}

Result<FenceMove> next_move(const FenceError& error, const SledSetup& setup, const Response& response) {
  const auto plain = correction_move(error, setup);
  if (!plain) return plain.failure();
  SledSetup corrected = setup;
  corrected.pivot_distance_mm = *setup.pivot_distance_mm / response.gain;
  corrected.pivot_distance_u_mm = *corrected.pivot_distance_mm * response.u / response.gain;
  return correction_move(error, corrected);
}

}  // namespace tapersight
