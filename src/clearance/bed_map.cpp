#include "clearance/bed_map.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numeric>
#include <optional>

#include "base/box.h"
#include "base/check.h"
#include "base/parallel.h"
#include "clearance/contact_column.h"

namespace bight::clearance {

namespace {

constexpr double k_infinity = std::numeric_limits<double>::infinity();

// Contact may be found this much above the true height, mm: flat faces then need one triangle pair.
constexpr double k_slack_mm = 0.001;

// The joints as functions of the tip: q = rows * (p - tip), p the tip's place in the work's frame.
struct TipFrame {
  std::vector<std::size_t> joints;  // three that matter
  Mat3 from_tip{1.0};
};

// Nothing when the joints that have any effect are not three that move the tip independently.
std::optional<TipFrame> tip_frame(std::span<const Vec3> directions,
                                  std::span<const MovingPair> pairs) {
  TipFrame frame;
  for (std::size_t i = 0; i < directions.size(); ++i) {
    bool matters = directions[i] != Vec3(0.0);
    for (const MovingPair& pair : pairs) matters = matters || pair.directions[i] != Vec3(0.0);
    if (matters) frame.joints.push_back(i);
  }
  if (frame.joints.size() != 3) return std::nullopt;
  Mat3 motion(1.0);
  double lengths = 1.0;
  for (int k = 0; k < 3; ++k) {
    motion[k] = directions[frame.joints[static_cast<std::size_t>(k)]];
    lengths *= glm::length(motion[k]);
  }
  constexpr double k_least_independent = 1e-6;  // volume of the parallelepiped of unit directions
  if (!(std::abs(glm::determinant(motion)) > k_least_independent * lengths)) return std::nullopt;
  frame.from_tip = glm::inverse(motion);
  return frame;
}

// What the travel lets the tip do over a rectangle (all relative to the tip at joints zero).
struct Room {
  std::array<JointRange, 2> rectangle;  // part of the cell that may be within the travel
  bool covered = true;
  double low_from = -k_infinity;  // the lowest height over the rectangle's points lies in
  double low_to = -k_infinity;    //   [low_from, low_to]
  double high_from = k_infinity;  // and the highest in [high_from, high_to]
  double high_to = k_infinity;
};

Room room_over(const TipFrame& frame, std::span<const JointRange> joints,
               std::array<JointRange, 2> rectangle) {
  Room room{rectangle, true, -k_infinity, -k_infinity, k_infinity, k_infinity};
  const auto row = [&](std::size_t k) {
    const int r = static_cast<int>(k);
    Vec3 n(frame.from_tip[0][r], frame.from_tip[1][r], frame.from_tip[2][r]);
    for (int c = 0; c < 3; ++c)
      if (std::abs(n[c]) < 1e-12 * glm::length(n)) n[c] = 0.0;
    return n;
  };
  // First the joints that bound X or Y alone: they cut the rectangle.
  for (std::size_t k = 0; k < 3; ++k) {
    const Vec3 n = row(k);
    const JointRange& q = joints[frame.joints[k]];
    for (int c = 0; c < 2; ++c) {
      if (n.z != 0.0 || n[1 - c] != 0.0 || n[c] == 0.0) continue;
      JointRange& side = room.rectangle[static_cast<std::size_t>(c)];
      side.lower = std::max(side.lower, std::min(q.lower / n[c], q.upper / n[c]));
      side.upper = std::min(side.upper, std::max(q.lower / n[c], q.upper / n[c]));
      if (!(side.lower <= side.upper)) room.covered = false;
    }
  }
  if (!room.covered) return room;
  for (std::size_t k = 0; k < 3; ++k) {
    const Vec3 n = row(k);
    const JointRange& q = joints[frame.joints[k]];
    double least = 0.0;  // of n.x x + n.y y over the rectangle
    double most = 0.0;
    for (int c = 0; c < 2; ++c) {
      const JointRange& side = room.rectangle[static_cast<std::size_t>(c)];
      least += std::min(n[c] * side.lower, n[c] * side.upper);
      most += std::max(n[c] * side.lower, n[c] * side.upper);
    }
    if (n.z == 0.0) {
      if (least > q.upper || most < q.lower) room.covered = false;
      continue;
    }
    // n.z z in [q.lower - xy, q.upper - xy]
    const double sign = n.z > 0.0 ? 1.0 : -1.0;
    const double low = sign > 0.0 ? q.lower : -q.upper;
    const double high = sign > 0.0 ? q.upper : -q.lower;
    const double xy_least = sign > 0.0 ? least : -most;
    const double xy_most = sign > 0.0 ? most : -least;
    const double z = std::abs(n.z);
    room.low_from = std::max(room.low_from, (low - xy_most) / z);
    room.low_to = std::max(room.low_to, (low - xy_least) / z);
    room.high_from = std::min(room.high_from, (high - xy_most) / z);
    room.high_to = std::min(room.high_to, (high - xy_least) / z);
  }
  if (!(room.low_from <= room.high_to)) room.covered = false;
  return room;
}

// The pairs as driven by the tip's X, Y and Z, columns along Z. The range of the tip only tells the
// size of the coordinates.
std::vector<ContactColumn> columns_by_tip(const TipFrame& frame, std::span<const Vec3> directions,
                                          std::span<const JointRange> joints,
                                          std::span<const MovingPair> pairs) {
  std::vector<ContactColumn> columns;
  columns.reserve(pairs.size());
  Box tip_range;
  for (unsigned corner = 0; corner < 8; ++corner) {
    Vec3 p(0.0);
    for (std::size_t k = 0; k < 3; ++k) {
      const JointRange& q = joints[frame.joints[k]];
      p += ((corner >> k) & 1U ? q.upper : q.lower) * directions[frame.joints[k]];
    }
    tip_range.extend(p);
  }
  std::array<JointRange, 3> whole;
  for (int c = 0; c < 3; ++c)
    whole[static_cast<std::size_t>(c)] = {tip_range.lower[c], tip_range.upper[c]};
  for (const MovingPair& pair : pairs) {
    MovingPair by_tip{pair.a, pair.b, std::vector<Vec3>(3, Vec3(0.0))};
    for (std::size_t k = 0; k < 3; ++k)
      for (int c = 0; c < 3; ++c)
        by_tip.directions[static_cast<std::size_t>(c)] +=
            frame.from_tip[c][static_cast<int>(k)] * pair.directions[frame.joints[k]];
    columns.emplace_back(by_tip, whole, 2);
  }
  return columns;
}

std::array<JointRange, 3> box_of(const Room& room) {
  return {room.rectangle[0], room.rectangle[1], JointRange{}};
}

// Of the given pairs those that may be in contact somewhere over the rectangle. A pair that is not
// among them has no say over any part of it: it touches nowhere, so it is in contact everywhere
// there or nowhere.
std::vector<std::size_t> may_touch(const Room& room, const std::vector<ContactColumn>& columns,
                                   const std::vector<std::size_t>& pairs) {
  constexpr double k_any = k_infinity;  // any contact will do
  std::vector<std::size_t> result;
  std::uint64_t leaf_pairs = 0;
  for (const std::size_t i : pairs) {
    const ContactColumn& pair = columns[i];
    const auto at = pair.footprint(box_of(room));
    const JointRange window =
        pair.constant_along_column() ? JointRange{} : JointRange{room.low_from, room.high_to};
    if (pair.highest(at, window, k_any, {}, leaf_pairs) || pair.contained(at, window.upper)) {
      result.push_back(i);
    }
  }
  return result;
}

// Bounds of the height over one rectangle, from the pairs that may touch there. `last`: for each
// pair the triangles that met in the cell before, where the search starts.
BedHeight height_over(const Room& room, const std::vector<ContactColumn>& columns,
                      const std::vector<std::size_t>& pairs, double tip_z, double cell_mm,
                      std::vector<TrianglePair>& last) {
  const std::array<JointRange, 3> box = box_of(room);
  JointRange window{room.low_from, room.high_to};
  double proved = -k_infinity;  // contact at this height at every point
  BedHeight height{0.0, -k_infinity, true, true, 0};
  std::uint64_t leaf_pairs = 0;
  for (const std::size_t i : pairs) {
    if (proved == k_infinity) break;
    const ContactColumn& pair = columns[i];
    const auto at = pair.footprint(box);
    JointRange here = pair.constant_along_column() ? JointRange{} : window;
    const auto top = pair.highest(at, here, k_slack_mm, last[i], leaf_pairs);
    const bool at_top = top && !(top->value < here.upper);
    if (!at_top && pair.contained(at, here.upper)) {
      proved = height.upper_mm = k_infinity;
      height.pair = static_cast<std::uint32_t>(i);
      height.by_travel = false;
    }
    if (!top) continue;
    last[i] = top->pair;
    if (!pair.constant_along_column() && top->value < height.upper_mm) continue;
    height.upper_mm = at_top ? k_infinity : top->value;
    height.pair = static_cast<std::uint32_t>(i);
    height.by_travel = false;
    const double depth = std::min(0.125 * cell_mm, 0.5);
    for (const JointRange& p : pair.proved_contact(at, here, top->pair, true, depth)) {
      if (pair.constant_along_column() || (p.lower <= room.high_from && p.upper >= room.high_to))
        proved = k_infinity;
      else if (p.lower <= room.high_from)
        proved = std::max(proved, std::min(p.upper, room.high_from));
    }
    if (!at_top && !pair.constant_along_column()) window.lower = std::max(window.lower, top->value);
  }
  height.upper_mm = tip_z + std::max(height.upper_mm, room.low_to);
  height.lower_mm = tip_z + std::max(proved, room.low_from);
  height.lower_mm = std::min(height.lower_mm, height.upper_mm);
  return height;
}

// Cells [column, column_end) x [row, row_end).
struct Block {
  std::size_t column = 0;
  std::size_t column_end = 0;
  std::size_t row = 0;
  std::size_t row_end = 0;

  std::size_t cells() const { return (column_end - column) * (row_end - row); }
};

// The rectangle of a block, relative to the tip at joints zero.
std::array<JointRange, 2> rectangle(const BedGrid& grid, const Vec3& tip, const Block& block) {
  const auto side = [&](double from, std::size_t first, std::size_t end) {
    return JointRange{from + static_cast<double>(first) * grid.cell_mm,
                      from + static_cast<double>(end - 1) * grid.cell_mm + grid.cell_mm};
  };
  return {side(grid.from.x - tip.x, block.column, block.column_end),
          side(grid.from.y - tip.y, block.row, block.row_end)};
}

// Which pairs may touch over which cells, found from coarse to fine: over most of the bed most
// pairs are far from contact, which one look at a block of cells tells.
class NearPairs {
 public:
  NearPairs(const Vec3& tip, const TipFrame& frame, std::span<const JointRange> joints,
            const std::vector<ContactColumn>& columns, const BedMap& map,
            const BedMapOptions& options)
      : columns_(map.columns), blocks_across_((map.columns + k_block - 1) / k_block) {
    const std::size_t blocks_along = (map.rows + k_block - 1) / k_block;
    lists_.resize(blocks_across_ * blocks_along);
    list_of_.assign(map.columns * map.rows, 0);
    std::vector<std::size_t> all(columns.size());
    std::iota(all.begin(), all.end(), std::size_t{0});
    const auto refine = [&](const auto& self, std::vector<std::vector<std::size_t>>& lists,
                            const Block& block, const std::vector<std::size_t>& pairs) -> void {
      if (is_cancelled(options.progress)) return;
      const Room room = room_over(frame, joints, rectangle(map.grid, tip, block));
      if (!room.covered) return;
      std::vector<std::size_t> near = may_touch(room, columns, pairs);
      if (near.empty()) return;
      if (block.cells() <= k_fine * k_fine) {
        for (std::size_t row = block.row; row < block.row_end; ++row) {
          for (std::size_t column = block.column; column < block.column_end; ++column) {
            list_of_[row * columns_ + column] = static_cast<std::uint32_t>(lists.size());
          }
        }
        lists.push_back(std::move(near));
        return;
      }
      const std::size_t column = (block.column + block.column_end) / 2;
      const std::size_t row = (block.row + block.row_end) / 2;
      for (const Block& part : {Block{block.column, column, block.row, row},
                                Block{column, block.column_end, block.row, row},
                                Block{block.column, column, row, block.row_end},
                                Block{column, block.column_end, row, block.row_end}}) {
        if (part.cells() > 0) self(self, lists, part, near);
      }
    };
    parallel_for(lists_.size(), options.threads, [&](std::size_t i) {
      lists_[i].emplace_back();  // what no pair is near to
      const std::size_t column = i % blocks_across_ * k_block;
      const std::size_t row = i / blocks_across_ * k_block;
      refine(
          refine, lists_[i],
          {column, std::min(column + k_block, map.columns), row, std::min(row + k_block, map.rows)},
          all);
    });
  }

  const std::vector<std::size_t>& over(std::size_t column, std::size_t row) const {
    const std::size_t block = row / k_block * blocks_across_ + column / k_block;
    return lists_[block][list_of_[row * columns_ + column]];
  }

 private:
  static constexpr std::size_t k_block = 32;  // cells along a side, looked at first
  static constexpr std::size_t k_fine = 4;    // and last

  std::size_t columns_ = 0;
  std::size_t blocks_across_ = 0;
  std::vector<std::vector<std::vector<std::size_t>>> lists_;  // of each block
  std::vector<std::uint32_t> list_of_;                        // of each cell, among its block's
};

}  // namespace

BedMap map_bed(const Vec3& tip, std::span<const Vec3> directions,
               std::span<const JointRange> joints, std::span<const MovingPair> pairs,
               const BedGrid& grid, const BedMapOptions& options) {
  BIGHT_CHECK(grid.cell_mm > 0.0);
  BIGHT_CHECK(directions.size() == joints.size());
  BedMap map;
  map.grid = grid;
  const auto count = [&](double length) {
    return static_cast<std::size_t>(std::max(0.0, std::ceil(length / grid.cell_mm - 1e-9)));
  };
  map.columns = count(grid.to.x - grid.from.x);
  map.rows = count(grid.to.y - grid.from.y);
  const auto frame = tip_frame(directions, pairs);
  if (!frame) {
    map.defined = false;
    return map;
  }
  map.cells.assign(map.columns * map.rows, {k_infinity, k_infinity, false, false, 0});

  const std::vector<ContactColumn> columns = columns_by_tip(*frame, directions, joints, pairs);
  if (options.progress != nullptr) options.progress->add_total(map.cells.size());
  const NearPairs near(tip, *frame, joints, columns, map, options);
  parallel_for(map.rows, options.threads, [&](std::size_t row) {
    std::vector<TrianglePair> last(columns.size());
    for (std::size_t column = 0; column < map.columns; ++column) {
      if (is_cancelled(options.progress)) return;
      const Room room =
          room_over(*frame, joints, rectangle(map.grid, tip, {column, column + 1, row, row + 1}));
      if (room.covered)
        map.cells[row * map.columns + column] =
            height_over(room, columns, near.over(column, row), tip.z, grid.cell_mm, last);
      if (options.progress != nullptr) options.progress->step();
    }
  });
  if (is_cancelled(options.progress)) map.completion = Completion::cancelled;
  return map;
}

}  // namespace bight::clearance
