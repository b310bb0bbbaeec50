// Works on a build as the viewer does, without a screen, until it is killed: for viewer_kill.
//
// usage: edit_until_killed BUILD STATE_FOLDER PAUSE_MS SEED    (a pause of 100 ms and more: it never saves)
//
// Takes up what the one before left behind. Then, a line each, before it is done:
//   edit N MICROSECONDS      the build's note is going to say N
// and after it is done:
//   start N                  where it began
//   kept N                   an edit at least as late is on the disk, unsaved
//   saved N                  it is in the build file
#include "files/files.hpp"
#include "viewer/left_work.hpp"

#include <fmt/format.h>

#include <chrono>
#include <cstdlib>
#include <random>
#include <string>

#include <unistd.h>

using namespace phasewright;
using namespace phasewright::viewer;

namespace {

void say(const std::string& line) {
  const std::string whole = line + "\n";
  if (::write(STDOUT_FILENO, whole.data(), whole.size()) < 0) std::exit(1); // nobody listens
}

int fail(const std::string& words) {
  say("fault " + words);
  return 1;
}

int number_in(const Workbench& bench) {
  const std::string& note = bench.document().measured.note;
  return note.empty() ? 0 : std::stoi(note);
}

long long now_us() {
  return std::chrono::duration_cast<std::chrono::microseconds>(std::chrono::steady_clock::now().time_since_epoch())
      .count();
}

} // namespace

int main(int count, char** words) {
  if (count != 5) return 2;
  const std::string path = words[1];
  const Result<Opened> opened = open_any(path);
  if (!opened) return fail(to_text(opened.problems().front()));
  Result<Workbench> bench = Workbench::open(*opened);
  if (!bench) return fail(to_text(bench.problems().front()));
  Recovery recovery(words[2], Recovery::Pause(std::stoi(words[3])));
  if (const auto found = find_work(recovery, *bench)) {
    if (found->standing == FoundWork::Standing::unreadable) return fail(found->fault);
    if (found->standing == FoundWork::Standing::open && !bench->change(found->document, "taken up"))
      return fail(bench->refusal());
    if (found->standing != FoundWork::Standing::open) recovery.drop();
  }
  int number = number_in(*bench);
  say(fmt::format("start {}", number));
  // With the viewer's own pause it goes on without a stop, so that what is lost is what came since the last writing.
  const bool waits = std::stoi(words[3]) < 100;
  std::mt19937 dice(static_cast<unsigned>(std::stoul(words[4])));
  const auto one_in = [&dice](unsigned times) { return dice() % times == 0; };
  while (true) {
    ++number;
    say(fmt::format("edit {} {}", number, now_us()));
    Document next = bench->document();
    next.measured.note = std::to_string(number);
    if (one_in(8)) next.fitted.cam_key_deg = static_cast<double>(dice() % 5); // all is figured anew
    if (!bench->change(next, "an edit")) return fail(bench->refusal());
    keep_work(recovery, *bench);
    if (one_in(40) && waits) {
      recovery.finish();
      say(fmt::format("kept {}", number));
    }
    if (one_in(60) && waits) {
      if (const auto fault = save_work(recovery, *bench, path)) return fail(*fault);
      say(fmt::format("saved {}", number));
    }
    if (recovery.has_fault()) return fail(recovery.take_fault().value_or(""));
  }
}
