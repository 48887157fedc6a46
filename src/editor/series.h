#pragma once
// Figures along a tour, for a strip plot under the picture: smallest clearance, and for each free
// run its slack, smallest radius and greatest pull, at each sample of time.

#include <memory>
#include <string>
#include <vector>

#include "base/progress.h"
#include "editor/model.h"
#include "editor/tour.h"

namespace bight::editor {

/// One curve. Values that are not known are NaN (a shape that did not converge).
struct Series {
  std::string name;             ///< "clearance", "slack, router from the rafter"
  std::string unit;             ///< "mm", "N"
  std::vector<double> values;   ///< one a sample
  std::vector<std::string> of;  ///< what has the value ("router - bench"); empty: one thing
  double limit = 0.0;           ///< allowed
  bool has_limit = false;
  bool limit_is_least = true;  ///< values below the limit are bad, else above
  std::string unknown;         ///< why no value is known: "no length works"
};

struct TourSeries {
  std::vector<double> time_s;
  std::vector<Series> series;
  bool cancelled = false;
};

/// `samples` equally far apart in time, and each stop.
TourSeries tour_series(const Model& model, const Tour& tour, std::size_t samples,
                       Progress* progress = nullptr, unsigned threads = 0);

}  // namespace bight::editor
