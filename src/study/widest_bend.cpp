#include "study/widest_bend.h"

#include <utility>

#include "base/check.h"
#include "study/lookup.h"

namespace bight::study {

WidestBend widest_bend(const Context& context, const plan::Run& run, line::BendUse use) {
  WidestBend widest;
  for (const plan::Line* line : lines_of_run(context.plan, run.name)) {
    const plan::Article& article = by_name(context.plan.articles, line->article);
    line::BendLimit limit = line::bend_limit(article, use, context.plan.rules);
    if (widest.line != nullptr && limit.inner_mm <= widest.limit.inner_mm) continue;
    widest = {line, std::move(limit)};
  }
  BIGHT_CHECK(widest.line != nullptr);
  return widest;
}

}  // namespace bight::study
