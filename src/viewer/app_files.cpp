// What becomes of unsaved work when the viewer ends by itself.
#include "viewer/app.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <chrono>
#include <ctime>
#include <filesystem>
#include <system_error>

namespace phasewright::viewer {

namespace {

namespace fs = std::filesystem;

std::string file_of(const Workbench& bench) {
  return bench.path().empty() ? bench.engine_path() : bench.path();
}

std::string when_words(fs::file_time_type time) {
  const auto system = std::chrono::file_clock::to_sys(time);
  const std::time_t seconds =
      std::chrono::system_clock::to_time_t(std::chrono::time_point_cast<std::chrono::system_clock::duration>(system));
  std::tm local{};
  if (::localtime_r(&seconds, &local) == nullptr) return "an unknown day";
  return fmt::format("{:04}-{:02}-{:02} at {:02}:{:02}", local.tm_year + 1900, local.tm_mon + 1, local.tm_mday,
                     local.tm_hour, local.tm_min);
}

// The file was written after the work was, by someone who did not have the work's beginnings from it.
bool outdated(const LeftWork& left, const WorkOf& of, const WorkOf& now) {
  if (now.file.empty() || of.digest == now.digest) return false;
  std::error_code fault;
  const fs::file_time_type written = fs::last_write_time(now.file, fault);
  return !fault && left.written <= written;
}

Document document_of(const UnsavedWork& work, const Document& now) {
  Document document{.fitted = work.build.fitted,
                    .planned = work.tried,
                    .measured = work.build.measured,
                    .history = work.build.history,
                    .shelf_mm = work.build.stock.shim_mm};
  document.measured.engine = now.measured.engine;
  return settled(document);
}

} // namespace

void App::look_for_left_work() {
  const WorkOf now = work_of(file_of(bench_));
  left_ = recovery_.begin(now);
  kept_revision_ = bench_.revision();
  if (!left_) return;
  const auto put_aside = [&](const std::string& why) {
    view_.notice = fmt::format("{} It was put aside as {}.", why, recovery_.put_aside(*left_).string());
    left_.reset();
  };
  Result<UnsavedWork> work = left_->fault.empty()
                                 ? read_unsaved(left_->text, left_->path.filename().string(), bench_.engine())
                                 : Result<UnsavedWork>(problem_at({}, {}, {}, left_->fault));
  const std::string when = when_words(left_->written);
  if (!work)
    return put_aside(
        fmt::format("Work of {} that was not saved cannot be read: {}.", when, to_text(work.problems()[0])));
  left_document_ = document_of(*work, bench_.document());
  const Differences differs = differences(bench_.document(), left_document_);
  if (differs.count == 0) {
    recovery_.drop();
    left_.reset();
    return;
  }
  if (outdated(*left_, work->of, now))
    return put_aside(fmt::format("Work of {} that was not saved is older than the file.", when));
  const std::string name = now.file.empty() ? "the demo" : fs::path(now.file).filename().string();
  view_.left = LeftCard{
      .shown = true,
      .sentence = fmt::format("The viewer ended on {} before this was saved in {}.", when, name),
      .differs = fmt::format("{} {} there: {}.", differs.count, differs.count == 1 ? "thing differs" : "things differ",
                             fmt::join(differs.words, ", ")),
      .caution = work->of.digest == now.digest ? "" : "The file has been changed by something else since then.",
      .fault = {}};
  view_.card = {};
}

void App::answer_left(Actions::Left answer) {
  if (!left_) return;
  switch (answer) {
  case Actions::Left::nothing:
    return;
  case Actions::Left::take_up:
    if (!bench_.change(left_document_, "what was not saved last time")) {
      view_.left.fault = "It does not go together: " + bench_.refusal();
      return;
    }
    break;
  case Actions::Left::put_aside:
    recovery_.put_aside(*left_);
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
  if (bench_.revision() != kept_revision_) {
    kept_revision_ = bench_.revision();
    if (bench_.unsaved())
      recovery_.keep(bench_.build(), bench_.document().planned);
    else
      recovery_.drop();
  }
  return fault.has_value();
}

std::optional<std::string> App::save_to(const std::string& path) {
  recovery_.hold(); // what is older than the file must not be written after it
  std::optional<std::string> fault = bench_.save(path);
  if (fault)
    recovery_.keep(bench_.build(), bench_.document().planned);
  else
    recovery_.saved(work_of(path));
  return fault;
}

} // namespace phasewright::viewer
