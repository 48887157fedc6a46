#pragma once
// Clearances over the whole travel while something is dragged: pairs neither of which changed are
// taken from the last call.

#include <memory>
#include <string>
#include <vector>

#include "study/mover.h"
#include "study/study.h"

namespace bight::editor {

struct LivePairs {
  std::vector<study::ClearancePair> pairs;  ///< nearest first; of a chain's pieces the nearest
  std::vector<study::Finding> findings;     ///< "clearance", in the order of the pairs
  std::size_t computed = 0;                 ///< pairs of movers that were computed anew
};

class LiveClearance {
 public:
  LivePairs check(const study::Context& context, std::vector<study::Mover> movers);

 private:
  struct Known {
    bool checked = false;  ///< they move against each other and do not touch by design
    bool contained = false;
    study::ClearancePair pair;
  };
  std::vector<study::Mover> movers_;
  std::vector<Known> known_;        ///< of each pair i < k of the movers, row after row
  std::vector<std::string> rules_;  ///< what else the pairs depend on, as text
};

}  // namespace bight::editor
