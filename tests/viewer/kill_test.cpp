// Killed at any moment, the viewer leaves a build file that can be read and unsaved work that can be taken up, and no
// more than the last second of it is lost. What is killed is edit_until_killed, over and over on one build.
#include "viewer/own_folder.hpp"

#include "support/catch.hpp"
#include "viewer/left_work.hpp"

#include <algorithm>
#include <csignal>
#include <cstdio>
#include <random>
#include <sstream>
#include <vector>

#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

using namespace phasewright;
using namespace phasewright::viewer;

namespace {

namespace fs = std::filesystem;

constexpr long long second_us = 1'000'000;

// The program under the knife, and what it says.
class Victim {
public:
  Victim(const fs::path& build, const fs::path& state, int pause_ms, unsigned seed) {
    int ends[2] = {-1, -1};
    REQUIRE(::pipe(ends) == 0);
    posix_spawn_file_actions_t actions;
    posix_spawn_file_actions_init(&actions);
    posix_spawn_file_actions_adddup2(&actions, ends[1], STDOUT_FILENO);
    posix_spawn_file_actions_addclose(&actions, ends[0]);
    std::vector<std::string> words{PHASEWRIGHT_EDIT_UNTIL_KILLED, build.string(), state.string(),
                                   std::to_string(pause_ms), std::to_string(seed)};
    std::vector<char*> pointers;
    for (std::string& word : words) pointers.push_back(word.data());
    pointers.push_back(nullptr);
    REQUIRE(::posix_spawn(&pid_, words[0].c_str(), &actions, nullptr, pointers.data(), ::environ) == 0);
    posix_spawn_file_actions_destroy(&actions);
    ::close(ends[1]);
    said_ = ::fdopen(ends[0], "r");
    REQUIRE(said_ != nullptr);
  }
  ~Victim() {
    if (pid_ > 0) kill();
    if (said_ != nullptr) std::fclose(said_);
  }
  Victim(const Victim&) = delete;
  Victim& operator=(const Victim&) = delete;

  // The next whole line; empty at the end.
  std::string line() {
    std::string words;
    for (int c = std::fgetc(said_); c != EOF; c = std::fgetc(said_)) {
      if (c == '\n') return words;
      words += static_cast<char>(c);
    }
    return {};
  }

  void kill() {
    ::kill(pid_, SIGKILL);
    int status = 0;
    ::waitpid(pid_, &status, 0);
    killed_ = WIFSIGNALED(status) && WTERMSIG(status) == SIGKILL;
    pid_ = -1;
  }
  [[nodiscard]] bool was_killed() const { return killed_; } // and did not end by itself before

private:
  pid_t pid_ = -1;
  std::FILE* said_ = nullptr;
  bool killed_ = false;
};

// What a run has said.
struct Story {
  int start = -1;
  int last = 0;                    // edit
  int certain = 0;                 // was on the disk in one file or the other
  std::vector<long long> times_us; // of the edits after `start`
  std::string fault;
  int kept = 0;
  int saved = 0;

  void hear(const std::string& line) {
    std::istringstream words(line);
    std::string what;
    int number = 0;
    long long time_us = 0;
    words >> what >> number >> time_us;
    if (what == "start") start = last = certain = number;
    if (what == "edit") last = number, times_us.push_back(time_us);
    if (what == "kept" || what == "saved") certain = number;
    if (what == "kept") ++kept;
    if (what == "saved") ++saved;
    if (what == "fault") fault = line;
  }
  [[nodiscard]] long long lasted_us() const { return times_us.empty() ? 0 : times_us.back() - times_us.front(); }
};

// The number of the edit that a viewer started now would go on from.
int number_after_restart(const fs::path& build, const fs::path& state) {
  const Opened now = opened(build);
  Result<Workbench> bench = Workbench::open(now);
  REQUIRE(bench.ok());
  Recovery recovery(state);
  const auto found = find_work(recovery, *bench);
  INFO((found ? found->fault : ""));
  REQUIRE_FALSE((found && found->standing == FoundWork::Standing::unreadable));
  const Document& there = found && found->standing == FoundWork::Standing::open ? found->document : bench->document();
  recovery.leave_there();
  return there.measured.note.empty() ? 0 : std::stoi(there.measured.note);
}

} // namespace

TEST_CASE("killed at random moments it loses no more than the last second") {
  const OwnFolder folder("killed");
  const fs::path build = folder / "sandling-14.build.toml";
  const fs::path state = folder / "state";
  std::mt19937 dice(20261126);
  constexpr int kills = 200;
  constexpr int long_ones = 5; // over which the viewer's own pause between writings counts
  int number = number_after_restart(build, state);
  int edits = 0;
  int kept = 0;
  int saved = 0;
  int in_the_middle = 0;
  int stalled = 0;
  for (int i = 0; i < kills; ++i) {
    const bool is_long = i % (kills / long_ones) == 0;
    const int wanted = static_cast<int>(dice() % 60);
    const long long lasting_us = second_us + static_cast<long long>(dice() % 500) * 1000;
    Victim victim(build, state, is_long ? 400 : 3, static_cast<unsigned>(i));
    Story story;
    const auto goes_on = [&] {
      if (!story.fault.empty()) return false;
      return is_long ? story.lasted_us() < lasting_us : static_cast<int>(story.times_us.size()) < wanted;
    };
    while (goes_on()) {
      const std::string line = victim.line();
      if (line.empty()) break;
      story.hear(line);
    }
    victim.kill();
    for (std::string line = victim.line(); !line.empty(); line = victim.line()) story.hear(line); // said before it died
    CAPTURE(i, number, story.start, story.last, story.certain, story.fault);
    REQUIRE(victim.was_killed());
    REQUIRE(story.fault.empty());
    // A run that was killed before it had begun says nothing.
    if (story.start >= 0) REQUIRE(story.start == number);
    const int now = number_after_restart(build, state);
    CAPTURE(now);
    CHECK(now >= std::max(story.certain, number)); // what was on the disk stays there, whatever comes after
    CHECK(now <= std::max(story.last, number));    // and is nothing that was never done
    if (story.last > now) {
      const auto first_lost = static_cast<std::size_t>(now - story.start);
      stalled += story.times_us.back() - story.times_us.at(first_lost) > second_us ? 1 : 0;
      ++in_the_middle;
    }
    edits += static_cast<int>(story.times_us.size());
    kept += story.kept;
    saved += story.saved;
    number = now;
  }
  CHECK(stalled <= 1); // a busy disk may hold up a writing, but not twice in as many runs
  // It was worked on, kept, saved, and killed with something lost.
  WARN(kills << " kills, " << edits << " edits, " << kept << " times kept for certain, " << saved << " times saved, "
             << in_the_middle << " times with edits lost");
  CHECK(edits > kills);
  CHECK(kept > 10);
  CHECK(saved > 10);
  CHECK(in_the_middle > 10);
  for (const auto& entry : fs::directory_iterator(state)) {
    const std::string name = entry.path().filename().string();
    INFO(name);
    CHECK((name.starts_with("unsaved-") || name.ends_with(".tmp")));
  }
}
