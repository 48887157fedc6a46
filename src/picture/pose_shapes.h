#pragma once
// The shapes of everything that bends, at a pose: free lines as rods, clipped lines along their
// points, lines in chains along their pitch line, chains link by link. For pictures; the checks
// take their verdicts elsewhere.

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "machine/machine.h"
#include "plan/plan.h"

namespace bight::picture {

/// One leg of one line at a pose. `use` has one number a point: the share of the bend limit that is
/// used there (limit over radius; 1: just allowed). Empty where no limit applies.
struct LegShape {
  std::string line;
  std::string run;
  std::size_t leg = 0;  ///< counts from 1
  plan::LegWay way = plan::LegWay::fixed;
  std::vector<Vec3> points;  ///< centre line
  std::vector<double> use;
  double radius_mm = 0.0;  ///< half the outside diameter
  bool solved = true;      ///< false: no equilibrium was found, the points are a limp line
};

/// Where one link of a chain is: from pin to pin, and the way from the fixed to the moving run
/// (inside of the bend).
struct LinkPlace {
  Vec3 from{0.0};
  Vec3 to{0.0};
  Vec3 inside{0.0};
};

struct ChainPoseShape {
  std::string chain;
  std::vector<LinkPlace> links;
  std::vector<Vec3> pitch_line;
  Vec3 across{0.0};        ///< unit vector of the width
  bool simulated = false;  ///< under its weight; else the ideal loop
  std::string remark;      ///< why it is not simulated
};

struct PoseShape {
  std::vector<double> pose;
  std::vector<LegShape> legs;
  std::vector<ChainPoseShape> chains;
};

/// Solves poses of one plan. Keeps what a next pose starts from: neighbouring poses cost some ten
/// microseconds a line. Not thread-safe. The plan and machine must outlive it.
class PoseShapes {
 public:
  PoseShapes(const plan::Plan& plan, const machine::Machine& machine);
  ~PoseShapes();
  PoseShapes(PoseShapes&&) noexcept;
  PoseShapes& operator=(PoseShapes&&) noexcept;

  /// From home in equal steps, so that the answer depends on the pose alone.
  PoseShape at(const std::vector<double>& pose);
  /// From the last pose, for following a drag.
  PoseShape next(const std::vector<double>& pose);

 private:
  struct Lines;
  std::unique_ptr<Lines> lines_;
};

}  // namespace bight::picture
