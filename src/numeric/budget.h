// The law of propagation of uncertainty and the budget it makes (JCGM 100:2008, clause 5 and annex G).
#pragma once
#include <Eigen/Core>
#include <functional>
#include <string>
#include <vector>

#include "numeric/student_t.h"

namespace tapersight {

// One input of a measurement: its estimate, standard uncertainty (same unit) and degrees of freedom.
struct InputEstimate {
  std::string name;
  double value = 0;
  double u = 0;
  double dof = kInfiniteDof;
};

struct InputContribution {
  std::string name;
  double sensitivity = 0;   // change of the result per change of the input
  double contribution = 0;  // |sensitivity| * u, in the result's unit
  double dof = kInfiniteDof;
};

struct PropagatedBudget {
  double value = 0;
  std::vector<InputContribution> rows;  // in the inputs' order
  CombinedUncertainty combined;
};

using MeasurementModel = std::function<double(const Eigen::VectorXd&)>;

// Partial derivatives at `inputs` by central differences over +-u of each input (JCGM 100:2008, 5.1.3, note
// 2); an input with u = 0 gets 0.
Eigen::VectorXd sensitivities(const MeasurementModel& model, const std::vector<InputEstimate>& inputs);

// Budget of a result with independent inputs: eq. (10) and the Welch-Satterthwaite formula (G.2b).
PropagatedBudget uncertainty_budget(const MeasurementModel& model, const std::vector<InputEstimate>& inputs);

// Means and their covariance matrix of quantities observed together: one row an observation, one column a
// quantity, at least two rows (JCGM 100:2008, 5.2.3, eq. 17).
struct JointMeans {
  Eigen::VectorXd mean;
  Eigen::MatrixXd covariance;  // of the means
};
JointMeans joint_means(const Eigen::MatrixXd& observations);

// Covariance of several results with correlated inputs: J V J^T (eq. 13 and F.1.2.3; JCGM 102:2011, 6.2.1).
// `jacobian` has one row a result; `covariance` is that of the inputs.
Eigen::MatrixXd propagated_covariance(const Eigen::MatrixXd& jacobian, const Eigen::MatrixXd& covariance);

}  // namespace tapersight
