#include "viewer/left_work.hpp"

#include <filesystem>
#include <system_error>

namespace phasewright::viewer {

namespace {

namespace fs = std::filesystem;

// Times of files are counted in the system's ticks, so one that is as old may have come after.
bool newer_than(const std::string& file, fs::file_time_type written) {
  std::error_code fault;
  const fs::file_time_type changed = fs::last_write_time(file, fault);
  return !fault && written <= changed;
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

const std::string& file_of(const Workbench& bench) {
  return bench.path().empty() ? bench.engine_path() : bench.path();
}

void keep_work(Recovery& recovery, const Workbench& bench) {
  if (bench.unsaved())
    recovery.keep(bench.build(), bench.document().planned);
  else
    recovery.drop();
}

std::optional<std::string> save_work(Recovery& recovery, Workbench& bench, const std::string& path) {
  recovery.hold(); // what is older than the file must not be written after it
  std::optional<std::string> fault = bench.save(path);
  if (fault)
    keep_work(recovery, bench);
  else
    recovery.saved(work_of(path));
  return fault;
}

std::optional<FoundWork> find_work(Recovery& recovery, const Workbench& bench) {
  const WorkOf now = work_of(file_of(bench));
  std::optional<LeftWork> left = recovery.begin(now);
  if (!left) return std::nullopt;
  FoundWork found;
  found.left = *std::move(left);
  found.fault = found.left.fault;
  if (found.fault.empty()) {
    const Result<UnsavedWork> work = read_unsaved(found.left.text, found.left.path.filename().string(), bench.engine());
    if (work) {
      found.document = document_of(*work, bench.document());
      found.of_another_file = work->of.digest != now.digest;
    } else {
      found.fault = to_text(work.problems().front());
    }
  }
  if (!found.fault.empty())
    found.standing = FoundWork::Standing::unreadable;
  else if (same_on_file(found.document, bench.document()))
    found.standing = FoundWork::Standing::the_same;
  else if (found.of_another_file && newer_than(now.file, found.left.written))
    found.standing = FoundWork::Standing::outdated;
  return found;
}

} // namespace phasewright::viewer
