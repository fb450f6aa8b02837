#include "record/response.h"

#include <Eigen/Cholesky>
#include <Eigen/Core>
#include <cmath>

#include "numeric/distributions.h"
#include "numeric/linear_least_squares.h"
#include "numeric/random_effects.h"

namespace tapersight {
namespace {

using Run = std::vector<MeasurementEntry>;  // with the fence left alone

double u_own(const MeasurementEntry& m) {
  return std::sqrt(std::fmax(0, m.u * m.u - m.u_shared * m.u_shared));
}

// Reads the entries in order into runs and the moves between them.
std::vector<Run> gather(const std::vector<RecordEntry>& entries, RecordAnalysis& analysis) {
  std::vector<Run> runs;
  Step pending;
  for (const RecordEntry& entry : entries) {
    if (const auto* move = std::get_if<MoveEntry>(&entry)) {
      const double turn = move->intended_turn();
      pending.intended += turn;
      pending.u_intended = std::hypot(pending.u_intended, move->u_mm / move->pivot_distance_mm);
      pending.forward_mm += turn < 0 ? -move->move_mm : move->move_mm;
      pending.u_forward_mm = std::hypot(pending.u_forward_mm, move->u_mm);
      analysis.moved_since = true;
    } else if (const auto* measured = std::get_if<MeasurementEntry>(&entry)) {
      if (runs.empty() || analysis.moved_since) {
        if (!runs.empty()) analysis.steps.push_back(pending);
        runs.emplace_back();
      }
      runs.back().push_back(*measured);
      pending = {};
      analysis.moved_since = false;
    }
  }
  return runs;
}

std::vector<double> errors_of(const Run& run) {
  std::vector<double> errors;
  for (const MeasurementEntry& m : run) errors.push_back(m.theta);
  return errors;
}

std::vector<double> own_of(const Run& run) {
  std::vector<double> own;
  for (const MeasurementEntry& m : run) own.push_back(u_own(m));
  return own;
}

// Each run's scatter beyond what its strips' own uncertainties make of it, and the usual figure.
CutScatter scatter_of(const std::vector<Run>& runs) {
  CutScatter scatter = usual_cut_scatter();
  double excess = 0, own = 0, dof = 0;  // sums over the runs
  for (const Run& run : runs) {
    if (run.size() < 2) continue;
    const auto free = static_cast<double>(run.size() - 1);
    excess += free * excess_variance(errors_of(run), own_of(run));
    for (const MeasurementEntry& m : run) own += free * u_own(m) * u_own(m) / (free + 1);
    dof += free;
    scatter.strips += static_cast<int>(run.size());
  }
  if (dof == 0) return scatter;
  const double usual = scatter.sigma * scatter.sigma;
  // Strips whose own uncertainty drowns the scatter tell less of it: Var = 2 (sigma^2 + u^2)^2 / dof.
  const double weight = dof * std::pow(usual / (usual + own / dof), 2);
  const double learned = std::fmax(0, excess / dof);
  scatter.sigma = std::sqrt((scatter.dof * usual + weight * learned) / (scatter.dof + weight));
  scatter.dof += weight;
  return scatter;
}

// The random-effects mean, widened by the Birge ratio.
State state_of(const Run& run, const CutScatter& scatter) {
  const RandomEffectsMean mean =
      random_effects_mean(errors_of(run), own_of(run), scatter.sigma * scatter.sigma);
  const double widened = std::fmax(1, mean.birge);
  State state;
  state.strips = static_cast<int>(run.size());
  state.fence.turns = run.back().turns;
  state.fence.theta = mean.mean;
  std::vector<UncertaintyPart> parts;
  double squares = 0;
  for (std::size_t i = 0; i < run.size(); ++i) {
    const double share = mean.shares[i];
    squares += share * share;
    parts.push_back({widened * share * u_own(run[i]), run[i].dof});
    state.u_shared += share * std::fmin(run[i].u, run[i].u_shared);
  }
  parts.push_back({widened * scatter.sigma * std::sqrt(squares), scatter.dof});
  parts.push_back({state.u_shared, kInfiniteDof});
  const CombinedUncertainty all = combine(parts);
  state.fence.u = all.u;
  state.fence.dof = all.dof;
  state.fence.coverage_factor = t_factor(kCoverage, all.dof);
  state.fence.U = state.fence.coverage_factor * all.u;
  return state;
}

MoveVerdict judged(const Step& step, double k) {
  const double seen = k * step.u_observed;
  const double allowed = k * std::sqrt(step.u_observed * step.u_observed + step.u_intended * step.u_intended +
                                       std::pow(kTrustInTypedDistance * step.intended, 2));
  if (std::fabs(step.observed - step.intended) <= allowed)
    return std::fabs(step.intended) <= seen ? MoveVerdict::kCannotBeTold : MoveVerdict::kAsExpected;
  if (std::fabs(step.observed) <= seen) return MoveVerdict::kDidNotMove;
  return step.observed * step.intended < 0 ? MoveVerdict::kWrongWay : MoveVerdict::kDistanceOff;
}

void judge(RecordAnalysis& analysis) {
  for (std::size_t i = 0; i < analysis.steps.size(); ++i) {
    const FenceError& before = analysis.states[i].fence;
    const FenceError& after = analysis.states[i + 1].fence;
    Step& step = analysis.steps[i];
    step.observed = after.theta - before.theta;
    const CombinedUncertainty sum = combine({{before.u, before.dof}, {after.u, after.dof}});
    const double k = t_factor(kCoverage, sum.dof);
    step.u_observed = sum.u;
    step.U_observed = k * sum.u;
    step.verdict = judged(step, k);
  }
}

// observed = turn_per_mm * forward + noise over the steps `used`; neighbouring steps share a state, which
// correlates them negatively.
Response fitted(const RecordAnalysis& analysis, const std::vector<std::size_t>& used) {
  Response response;
  if (used.empty()) return response;
  const auto n = static_cast<Eigen::Index>(used.size());
  Eigen::VectorXd forward(n);
  Eigen::VectorXd observed(n);
  Eigen::MatrixXd covariance = Eigen::MatrixXd::Zero(n, n);
  for (Eigen::Index i = 0; i < n; ++i) {
    const std::size_t at = used[static_cast<std::size_t>(i)];
    const Step& step = analysis.steps[at];
    forward(i) = step.forward_mm;
    observed(i) = step.observed;
    const double u_made = step.u_forward_mm * step.observed / step.forward_mm;
    covariance(i, i) = step.u_observed * step.u_observed + u_made * u_made;
    if (i == 0 || used[static_cast<std::size_t>(i) - 1] + 1 != at) continue;
    const double shared = analysis.states[at].fence.u;
    covariance(i, i - 1) = covariance(i - 1, i) = -shared * shared;
  }
  const Eigen::LLT<Eigen::MatrixXd> whitener(covariance);
  if (whitener.info() != Eigen::Success) return response;
  LinearFitOptions absolute;
  absolute.weights = WeightMeaning::kAbsolute;
  const Eigen::VectorXd white_forward = whitener.matrixL().solve(forward);
  const Eigen::VectorXd white_observed = whitener.matrixL().solve(observed);
  const auto fit = fit_linear(white_forward, white_observed, {}, absolute);
  if (!fit) return response;
  const double misfit = (white_observed - fit->coefficients(0) * white_forward).squaredNorm();
  response.moves_agree = n < 2 || misfit <= chi_squared_quantile(kCoverage, static_cast<double>(n - 1));
  // A turn that may be none at all tells no distance.
  if (!(fit->coefficients(0) > t_factor(kCoverage, kInfiniteDof) * fit->u(0))) return response;
  response.turn_per_mm = fit->coefficients(0);
  response.u_turn_per_mm = fit->u(0);
  response.moves_used = static_cast<int>(n);
  return response;
}

// From all steps but those that went the wrong way. Where these do not agree, those that seem not to have
// moved at all are left out: nobody made that move, or it slipped.
Response learned_from(const RecordAnalysis& analysis) {
  std::vector<std::size_t> used, moved;
  for (std::size_t i = 0; i < analysis.steps.size(); ++i) {
    const Step& step = analysis.steps[i];
    if (step.forward_mm == 0 || step.verdict == MoveVerdict::kWrongWay) continue;
    used.push_back(i);
    if (step.verdict != MoveVerdict::kDidNotMove) moved.push_back(i);
  }
  const Response all = fitted(analysis, used);
  return all.moves_agree ? all : fitted(analysis, moved);
}

Response response_of(const RecordAnalysis& analysis) {
  Response response = learned_from(analysis);
  if (analysis.steps.empty()) return response;
  const FenceError& before = analysis.states[analysis.states.size() - 2].fence;
  response.last_move_mm = std::fabs(analysis.steps.back().forward_mm);
  response.last_made_it_worse = std::fabs(analysis.states.back().fence.theta) > std::fabs(before.theta);
  return response;
}

Due what_is_due(const RecordAnalysis& analysis, const std::optional<Tolerance>& tolerance) {
  if (analysis.states.empty() || analysis.moved_since) return Due::kMeasure;
  if (tolerance) {
    const Verdict verdict = decide(analysis.states.back().fence, *tolerance).verdict;
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
    case MoveVerdict::kCannotBeTold:
      break;
  }
  return "cannot be told";
}

RecordAnalysis analyse_record(const std::vector<RecordEntry>& entries,
                              const std::optional<Tolerance>& tolerance) {
  RecordAnalysis analysis;
  const std::vector<Run> runs = gather(entries, analysis);
  analysis.scatter = scatter_of(runs);
  for (const Run& run : runs) analysis.states.push_back(state_of(run, analysis.scatter));
  judge(analysis);
  analysis.response = response_of(analysis);
  analysis.stop_here =
      !analysis.states.empty() && !analysis.moved_since && !analysis.states.back().fence.sense_is_known();
  analysis.due = what_is_due(analysis, tolerance);
  return analysis;
}

NextDistance next_distance(const Response& response, double typed_mm) {
  NextDistance next;
  next.distance_mm = typed_mm;
  next.u_mm = kTrustInTypedDistance * typed_mm;
  if (!response.turn_per_mm) return next;
  const double typed = 1 / typed_mm, u_typed = kTrustInTypedDistance * typed;
  const double learned = *response.turn_per_mm, u_learned = response.u_turn_per_mm;
  const double k = t_factor(kCoverage, kInfiniteDof);
  double turn = 0, u = 0;
  if (std::fabs(learned - typed) <= k * std::hypot(u_typed, u_learned)) {
    const double weight_typed = 1 / (u_typed * u_typed), weight_learned = 1 / (u_learned * u_learned);
    turn = (weight_typed * typed + weight_learned * learned) / (weight_typed + weight_learned);
    u = 1 / std::sqrt(weight_typed + weight_learned);
  } else {
    next.seems_mm = 1 / learned;
    next.seems_U_mm = k * u_learned / (learned * learned);
    next.ask = response.moves_used > 1 && response.moves_agree;
    turn = next.ask || learned > typed ? learned : (typed + learned) / 2;
    u = std::hypot(u_learned, turn - learned);
  }
  next.distance_mm = 1 / turn;
  next.u_mm = u / (turn * turn);
  next.gain = typed_mm / next.distance_mm;
  return next;
}

Result<FenceMove> next_move(const FenceError& error, const SledSetup& setup, const Response& response) {
  if (!setup.pivot_distance_mm) return correction_move(error, setup);
  const NextDistance next = next_distance(response, *setup.pivot_distance_mm);
  if (next.ask)
    return Failure{"distance-doubtful", "The moves in the record point to another pivot distance.",
                   "Measure it again and give it with --pivot-distance."};
  SledSetup corrected = setup;
  corrected.pivot_distance_mm = next.distance_mm;
  corrected.pivot_distance_u_mm = next.u_mm;
  auto move = correction_move(error, corrected);
  if (move && response.last_made_it_worse && response.last_move_mm > 0)
    move->move_mm = std::fmin(move->move_mm, response.last_move_mm);
  return move;
}

}  // namespace tapersight
