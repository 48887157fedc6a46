#include "view/element_words.h"

#include <gtest/gtest.h>

namespace bight::view {
namespace {

constexpr const char* k_text =
    "[[support]]\n"
    "name = \"rafter hook\"\n"
    "[[run]]\n"
    "name = \"from the rafter\"\n"
    "[[run.leg]]\n"
    "way = \"clipped\"\n"
    "[[run.leg]]\n"
    "way = \"free\"\n";

TEST(ElementWords, ALegSaysOfWhichKindItIs) {
  const plan::Document document = plan::read_document(k_text);
  const plan::Element* leg = plan::find_element(document, "run.from the rafter.leg.2");
  ASSERT_NE(leg, nullptr);
  EXPECT_EQ(element_label(*leg), "leg 2: free");
  EXPECT_EQ(element_title(document, *leg), "leg 2 of run from the rafter");
}

TEST(ElementWords, ANamedElementIsCalledByItsName) {
  const plan::Document document = plan::read_document(k_text);
  const plan::Element* hook = plan::find_element(document, "support.rafter hook");
  ASSERT_NE(hook, nullptr);
  EXPECT_EQ(element_label(*hook), "rafter hook");
  EXPECT_EQ(element_title(document, *hook), "support rafter hook");
  EXPECT_EQ(element_title(document, document.elements.front()), "plan");
}

}  // namespace
}  // namespace bight::view
