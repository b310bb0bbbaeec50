// What becomes of unsaved work when the viewer ends by itself.
#include "viewer/app.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <chrono>
#include <ctime>
#include <filesystem>

namespace phasewright::viewer {

namespace {

namespace fs = std::filesystem;

std::string when_words(fs::file_time_type time) {
  const auto system = std::chrono::file_clock::to_sys(time);
  const std::time_t seconds =
      std::chrono::system_clock::to_time_t(std::chrono::time_point_cast<std::chrono::system_clock::duration>(system));
  std::tm local{};
  if (::localtime_r(&seconds, &local) == nullptr) return "an unknown day";
  return fmt::format("{:04}-{:02}-{:02} at {:02}:{:02}", local.tm_year + 1900, local.tm_mon + 1, local.tm_mday,
                     local.tm_hour, local.tm_min);
}

} // namespace

void App::look_for_left_work() {
  kept_revision_ = bench_.revision();
  left_ = find_work(recovery_, bench_);
  if (!left_) return;
  const std::string when = when_words(left_->left.written);
  const auto put_aside = [&](const std::string& why) {
    const std::filesystem::path now = recovery_.put_aside(left_->left);
    const std::string where = now == left_->left.path
                                  ? fmt::format("It could not be put aside and stays as {}.", now.string())
                                  : fmt::format("It was put aside as {}.", now.string());
    const std::string before = view_.notice.empty() ? "" : view_.notice + "  "; // cautions of the file that was opened
    view_.notice = fmt::format("{}{} {}", before, why, where);
    left_.reset();
  };
  switch (left_->standing) {
  case FoundWork::Standing::unreadable:
    return put_aside(fmt::format("Work of {} that was not saved cannot be read: {}.", when, left_->fault));
  case FoundWork::Standing::outdated:
    return put_aside(fmt::format("Work of {} that was not saved is older than the file.", when));
  case FoundWork::Standing::the_same:
    recovery_.drop();
    left_.reset();
    return;
  case FoundWork::Standing::open:
    break;
  }
  const Differences differs = differences(bench_.document(), left_->document);
  const std::string& file = file_of(bench_);
  view_.left = LeftCard{
      .shown = true,
      .sentence = fmt::format("The viewer ended on {} before this was saved in {}.", when,
                              file.empty() ? "the demo" : fs::path(file).filename().string()),
      .differs = fmt::format("{} {} there: {}.", differs.count, differs.count == 1 ? "thing differs" : "things differ",
                             fmt::join(differs.words, ", ")),
      .caution = left_->of_another_file ? "The file has been changed by something else since then." : "",
      .fault = {}};
  view_.card = {};
}

void App::answer_left(Actions::Left answer) {
  if (!left_) return;
  switch (answer) {
  case Actions::Left::nothing:
    return;
  case Actions::Left::take_up:
    if (!bench_.change(left_->document, "what was not saved last time")) {
      view_.left.fault = "It does not go together: " + bench_.refusal();
      return;
    }
    break;
  case Actions::Left::put_aside:
    recovery_.put_aside(left_->left);
    break;
  case Actions::Left::later:
    recovery_.leave_there();
    break;
  }
  left_.reset();
  view_.left = {};
}

bool App::look_after_work() {
  const std::optional<std::string> fault = recovery_.take_fault();
  if (fault) view_.notice = fmt::format("What is not saved is lost if the viewer ends by itself: {}.", *fault);
  keep_changes();
  return fault.has_value();
}

void App::keep_changes() {
  if (waiting_ || leaving_ || bench_.revision() == kept_revision_) return;
  kept_revision_ = bench_.revision();
  keep_work(recovery_, bench_);
}

} // namespace phasewright::viewer
