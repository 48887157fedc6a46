#pragma once
// Steps of PoseShapes, shared by its sources only.

#include <memory>
#include <vector>

#include "chain/chain_frame.h"
#include "picture/pose_shapes.h"
#include "study/context.h"

namespace bight::picture::pose_detail {

/// A chain with what does not change with the pose.
struct PreparedChain {
  const plan::Chain* chain = nullptr;
  chain::ChainFrame frame;
  double fill_kg_per_m = 0.0;
  std::vector<const plan::Line*> lines;
  std::vector<std::optional<Vec2>> places;  ///< of the lines, from the middle of the section
};

PreparedChain prepare_chain(const study::Context& context, const plan::Chain& chain);

/// Pitch line and links at a pose. Without links when the chain has no loop.
ChainPoseShape chain_at(const study::Context& context, const PreparedChain& prepared,
                        const std::vector<double>& pose);

/// The way of a line through a chain: its pitch line, moved to where the line lies in the section.
std::vector<Vec3> line_in_chain(const PreparedChain& prepared, const ChainPoseShape& shape,
                                std::size_t line);

/// Share of a bend limit that is used at each point of a polyline: limit over local radius, by the
/// turn between its pieces.
std::vector<double> bend_use(const std::vector<Vec3>& points, double limit_mm);

}  // namespace bight::picture::pose_detail
