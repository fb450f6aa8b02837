#include "numeric/budget.h"

#include <cmath>

namespace tapersight {
namespace {

Eigen::VectorXd values_of(const std::vector<InputEstimate>& inputs) {
  Eigen::VectorXd values(static_cast<Eigen::Index>(inputs.size()));
  for (std::size_t i = 0; i < inputs.size(); ++i) values[static_cast<Eigen::Index>(i)] = inputs[i].value;
  return values;
}

}  // namespace

Eigen::VectorXd sensitivities(const MeasurementModel& model, const std::vector<InputEstimate>& inputs) {
  const Eigen::VectorXd centre = values_of(inputs);
  Eigen::VectorXd result = Eigen::VectorXd::Zero(centre.size());
  for (Eigen::Index i = 0; i < centre.size(); ++i) {
    const double step = inputs[static_cast<std::size_t>(i)].u;
    if (!(step > 0)) continue;
    Eigen::VectorXd above = centre;
    Eigen::VectorXd below = centre;
    above[i] += step;
    below[i] -= step;
    result[i] = (model(above) - model(below)) / (above[i] - below[i]);
  }
  return result;
}

PropagatedBudget uncertainty_budget(const MeasurementModel& model, const std::vector<InputEstimate>& inputs) {
  const Eigen::VectorXd slope = sensitivities(model, inputs);
  PropagatedBudget budget;
  budget.value = model(values_of(inputs));
  std::vector<UncertaintyPart> parts;
  for (std::size_t i = 0; i < inputs.size(); ++i) {
    const double c = slope[static_cast<Eigen::Index>(i)];
    budget.rows.push_back({inputs[i].name, c, std::abs(c) * inputs[i].u, inputs[i].dof});
    parts.push_back({budget.rows.back().contribution, inputs[i].dof});
  }
  budget.combined = combine(parts);
  return budget;
}

JointMeans joint_means(const Eigen::MatrixXd& observations) {
  JointMeans result;
  result.mean = observations.colwise().mean();
  const Eigen::MatrixXd residuals = observations.rowwise() - result.mean.transpose();
  const auto n = static_cast<double>(observations.rows());
  result.covariance = residuals.transpose() * residuals / (n * (n - 1));
  return result;
}

Eigen::MatrixXd propagated_covariance(const Eigen::MatrixXd& jacobian, const Eigen::MatrixXd& covariance) {
  return jacobian * covariance * jacobian.transpose();
}

}  // namespace tapersight
