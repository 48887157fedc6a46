// libFuzzer target: any bytes as a plan file. What comes out is a plan without errors or errors
// without a plan, and a plan that was read can be edited in place.
//
//   cmake -S . -B build/fuzz -DCMAKE_CXX_COMPILER=clang++ -DBIGHT_FUZZ=ON \
//     -DBIGHT_SANITIZE=address,undefined
//   build/fuzz/tests/fuzz/plan_fuzz -max_len=20000 -dict=tests/fuzz/plan.dict NEW \
//     tests/corpus/plan tests/corpus/plan/good

#include <cstdint>
#include <string>

#include "base/check.h"
#include "plan/patch.h"
#include "plan/read.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string text(reinterpret_cast<const char*>(data), size);
  bight::Diagnostics diagnostics;
  const auto plans = bight::plan::read_plan_and_options(text, "fuzz.toml", diagnostics);
  BIGHT_CHECK(plans.has_value() != diagnostics.has_errors());
  for (const bight::Diagnostic& d : diagnostics.items()) BIGHT_CHECK(!to_text(d).empty());

  const bight::plan::Patched patched = bight::plan::set_value(text, "rules.spare_percent", "7");
  if (plans) BIGHT_CHECK(patched.problem.empty());
  if (patched.problem.empty()) {
    bight::Diagnostics again;
    const auto edited = bight::plan::read_plan(patched.text, "fuzz.toml", "", again);
    if (edited) BIGHT_CHECK(edited->rules.spare_percent == 7.0);
    if (plans) BIGHT_CHECK(edited.has_value());
  }
  return 0;
}
