// One frame of a live camera: is it worth taking? Answer: {ready, code, says, sharpness}: one short sentence
// to follow, and how sharp the sheet is (px per mm over blur, so that frames can be compared). A frame is
// judged by the very rules by which a photo is refused.
#include <array>

#include "pipeline/judge_frame.h"
#include "web/request_parts.h"

namespace tapersight {
namespace {

constexpr double kLongestSeconds = 2;  // a live view that stands still helps nobody

struct Advice {
  const char* code;  // of the refusal
  const char* says;
};

constexpr std::array<Advice, 12> kAdvice{
    {{"no-target", "Show the whole sheet."},
     {"resolution-too-low", "Come closer."},
     {"too-small", "Come closer."},
     {"too-blurred", "Hold still."},
     {"under-exposed", "Too dark. Make more light."},
     {"over-exposed", "Glare on the sheet. Move the lamp or the phone."},
     {"saturated", "Glare on the sheet. Move the lamp or the phone."},
     {"glare", "Glare on the sheet. Move the lamp or the phone."},
     {"target-cut-off", "Show the whole sheet."},
     {"too-oblique", "Hold the phone above the strip's middle."},
     {"target-covered", "Uncover the chessboards, and show all of the sheet."},
     {"sheet-not-flat", "Tape the sheet flat."}}};

std::string words_for(const std::string& code) {
  for (const Advice& advice : kAdvice)
    if (code == advice.code) return advice.says;
  return kAdvice.front().says;
}

}  // namespace

Json frame_request(const Json& request, const Blobs& blobs) {
  const auto frame = picture_of(request.at("picture"), blobs);
  if (!frame) return failed(frame.failure());
  const auto sharpness = judge_frame(frame->grey, Deadline::in(kLongestSeconds));
  Json answer{{"status", "done"}, {"ready", sharpness.ok()}};
  answer["code"] = sharpness ? "ready" : sharpness.failure().code;
  answer["says"] = sharpness ? "Good. Hold still." : words_for(sharpness.failure().code);
  answer["sharpness"] = sharpness ? *sharpness : 0.0;
  return answer;
}

}  // namespace tapersight
