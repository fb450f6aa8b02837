// Lines of results: what is written is read back, nothing else is; benches that come twice are marked.
#include "classroom/class_result.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "base/csv.h"
#include "report/sample_report.h"

namespace tapersight {
namespace {

using testing::sample_report;

ClassResult line(const std::string& picture, int strip, std::optional<int> bench, bool measured = true) {
  const MeasurementReport report = sample_report();
  ResultLine line;
  line.picture = picture;
  line.strip = strip;
  line.bench = bench;
  line.named_by = bench ? NamedBy::kTag : NamedBy::kNothing;
  if (measured)
    line.report = &report;
  else
    line.reason = Failure{"no-strip", "No strip, \"none\".", "Lay one there."};
  auto read = read_result_line(result_json(line));
  EXPECT_TRUE(read.ok());
  return *read;
}

TEST(ClassResult, IsReadBack) {
  const ClassResult r = line("a.jpg", 2, 7);
  const MeasurementReport report = sample_report();
  EXPECT_EQ(r.picture, "a.jpg");
  EXPECT_EQ(r.strip, 2);
  EXPECT_EQ(r.bench, 7);
  EXPECT_EQ(r.named_by, "tag");
  EXPECT_TRUE(r.measured);
  EXPECT_EQ(r.error, report.fence->theta);
  EXPECT_EQ(r.error_U, report.fence->U);
  EXPECT_EQ(r.move_mm, report.move->move_mm);
  EXPECT_EQ(r.taper, 0.001);
  EXPECT_FALSE(r.bowed);
  EXPECT_EQ(r.setup.pivot_distance_mm, 1000.0);
  EXPECT_EQ(r.cut_length_mm, 500);
  EXPECT_EQ(r.means, "use the 0.25 leaf");
  EXPECT_EQ(r.units, Units::kMillimetre);
  const ClassResult refused = line("b.jpg", 0, {}, false);
  EXPECT_FALSE(refused.measured);
  EXPECT_EQ(refused.reason->code, "no-strip");
  EXPECT_EQ(refused.bench, std::nullopt);
}

TEST(ClassResult, StrangeLinesAreRefused) {
  const std::string good = line("a.jpg", 1, 7).json;
  for (const std::string& text :
       {std::string(), std::string("{}"), std::string("[1]"), good.substr(0, good.size() / 2),
        std::string("{\"schema\":\"tapersight.class.v1\"}"), std::string("{\"schema\":\"other\"}")})
    EXPECT_EQ(read_result_line(text).failure().code, "not-a-class-result") << text;
}

TEST(ClassResult, NumbersThatAreNotWholeOrFarTooLargeAreRefused) {
  const std::string good = line("a.jpg", 3, 7).json;
  for (const char* number : {"1e300", "-1e300", "4294967299", "3.5", "true"}) {
    std::string changed = good;
    changed.replace(changed.find("\"strip\":3"), 9, std::string("\"strip\":") + number);
    EXPECT_EQ(read_result_line(changed).failure().code, "not-a-class-result") << number;
  }
}

// A million brackets would be a million calls deep when they are written again.
TEST(ClassResult, NestedWithoutEndIsRefused) {
  std::string deep = line("a.jpg", 3, 7).json;
  deep.pop_back();
  const std::string nested =
      deep + ",\"more\":" + std::string(1 << 20, '[') + std::string(1 << 20, ']') + "}";
  EXPECT_EQ(read_result_line(nested).failure().code, "not-a-class-result");
}

TEST(ClassResult, ABenchThatComesTwiceIsMarkedAndCountsForNothing) {
  std::vector<ClassResult> all = {line("b.jpg", 1, 7), line("a.jpg", 1, 7), line("a.jpg", 2, 8),
                                  line("a.jpg", 2, 8)};
  put_in_order(all);
  ASSERT_EQ(all.size(), 3U) << "the same line twice is one";
  EXPECT_EQ(all[0].picture, "a.jpg");
  EXPECT_TRUE(all[0].twice);
  EXPECT_FALSE(all[1].twice);
  EXPECT_TRUE(all[2].twice);
  EXPECT_EQ(all[0].todo(), Todo::kReported);
  EXPECT_THAT(all[0].json, ::testing::HasSubstr("\"bench_twice\":true"));
  // Taken away, the other one counts again.
  all.erase(all.begin());
  put_in_order(all);
  EXPECT_FALSE(all[1].twice);
  EXPECT_THAT(all[1].json, ::testing::HasSubstr("\"bench_twice\":false"));
  // Two classes may have the same bench numbers.
  all[1].group = "other";
  all.push_back(line("c.jpg", 1, 7));
  put_in_order(all);
  for (const ClassResult& r : all) EXPECT_FALSE(r.twice);
}

TEST(ClassResult, TheTableHasAFieldForEveryColumn) {
  const auto parsed = parse_csv(results_csv({line("a,\"b\".jpg", 1, 7), line("c.jpg", 0, {}, false)}));
  ASSERT_TRUE(parsed.ok());
  ASSERT_EQ(parsed->size(), 3U);
  for (const CsvRecord& record : *parsed) EXPECT_EQ(record.fields.size(), (*parsed)[0].fields.size());
  EXPECT_EQ((*parsed)[1].fields[3], "a,\"b\".jpg");
  EXPECT_EQ((*parsed)[1].fields[10], "0.25000") << "mm/m";
  EXPECT_EQ((*parsed)[2].fields[8], "no-strip");
}

}  // namespace
}  // namespace tapersight
