#pragma once
// A way through the whole travel to look at: home, the corners, the edges between them, and last
// the poses where margins are least. Time to pose, and the figures along it.

#include <cstddef>
#include <string>
#include <vector>

#include "machine/machine.h"
#include "study/study.h"

namespace bight::editor {

/// A pose of the tour and when it is reached.
struct TourStop {
  std::vector<double> pose;
  std::string what;     ///< "home", "X+ Y– Z+" (a corner), "router near bench: 4.2 mm"
  double time_s = 0.0;  ///< at speed 1: rapid rates, 100 mm/s where the plan has none
};

struct Tour {
  std::vector<TourStop> stops;
  double duration_s = 0.0;
};

/// `study` may be null: then without the poses of least margins. `unit` of what they are called.
Tour make_tour(const machine::Machine& machine, const study::StudyResult* study,
               LengthUnit unit = LengthUnit::mm);

/// Pose on the straight way between two stops; times outside are clamped.
std::vector<double> pose_at(const Tour& tour, double time_s);

/// Number of the stop that is reached next at a time.
std::size_t stop_at(const Tour& tour, double time_s);

/// Each value within the travel of its joint; missing ones at home, what is not finite too.
std::vector<double> clamped_pose(const machine::Machine& machine, std::vector<double> pose);

/// Where the joints have the same names as before their values survive, else home.
std::vector<double> carried_pose(const machine::Machine& from, const std::vector<double>& pose,
                                 const machine::Machine& to);

}  // namespace bight::editor
