// Films of the drive. What is in them is asked of ffprobe (of the package ffmpeg) and of Pillow, which know nothing of
// us.
#include "cli/answer.hpp"
#include "cli/program.hpp"
#include "cli/scratch.hpp"
#include "cli/usage_checks.hpp"
#include "support/catch.hpp"

#include <fmt/format.h>

#include <csignal>
#include <cstdio>
#include <fcntl.h>
#include <sstream>
#include <sys/wait.h>
#include <unistd.h>

using namespace phasewright::testing;

namespace {

// With no display; leaks are not looked for, as in the tests of pictures.
const std::vector<std::string> plain{"DISPLAY=", "WAYLAND_DISPLAY=", "ASAN_OPTIONS=detect_leaks=0"};

Run film(const std::vector<std::string>& arguments, const std::vector<std::string>& environment = {}) {
  std::vector<std::string> words{"film"};
  words.insert(words.end(), arguments.begin(), arguments.end());
  RunWith with{.environment = plain, .out_file = {}, .directory = {}};
  with.environment.insert(with.environment.end(), environment.begin(), environment.end());
  return run_program(words, with);
}

std::string made(std::vector<std::string> arguments) {
  arguments.insert(arguments.end(), {"--size", "160x120"});
  const Run run = film(arguments);
  INFO(run.err);
  REQUIRE(run.exit_code == 0);
  CHECK(run.err.empty());
  return run.out;
}

std::string picture(const Scratch& scratch, std::vector<std::string> arguments) {
  const std::string file = scratch / "picture.png";
  arguments.insert(arguments.begin(), "picture");
  arguments.insert(arguments.end(), {"--size", "160x120", "-o", file});
  const Run run = run_program(arguments, {.environment = plain, .out_file = {}, .directory = {}});
  INFO(run.err);
  REQUIRE(run.exit_code == 0);
  return read_file(file);
}

std::string said_by(const std::string& command) {
  INFO(command);
  std::FILE* const pipe = ::popen(command.c_str(), "r");
  REQUIRE(pipe != nullptr);
  std::string text;
  char bytes[4096];
  for (std::size_t count = 0; (count = std::fread(bytes, 1, sizeof bytes, pipe)) > 0;) text.append(bytes, count);
  REQUIRE(::pclose(pipe) == 0);
  return text;
}

// What Pillow prints for a few lines of Python; `file` is the first word after them.
std::string python(const std::string& lines, const std::string& file, const std::string& other = {}) {
  return said_by(fmt::format("{} -c '{}' {} {}", PHASEWRIGHT_PYTHON, lines, file, other));
}

// The greatest difference of any pixel's channel and the mean of all, of a film's frame and a picture.
struct Apart {
  int most = 0;
  double mean = 0.0;
};
Apart apart(const std::string& film_file, int frame, const std::string& picture_file) {
  std::istringstream said(
      python(fmt::format("import sys, numpy\nfrom PIL import Image\nfilm = Image.open(sys.argv[1])\nfilm.seek({})\n"
                         "one = numpy.asarray(film.convert(\"RGB\")).astype(int)\n"
                         "two = numpy.asarray(Image.open(sys.argv[2]).convert(\"RGB\")).astype(int)\n"
                         "apart = abs(one - two)\nprint(apart.max(), apart.mean())",
                         frame),
             film_file, picture_file));
  Apart found;
  REQUIRE(said >> found.most >> found.mean);
  return found;
}

// The program running, so that it can be sent a signal.
class Running {
public:
  explicit Running(const std::vector<std::string>& arguments) {
    std::vector<std::string> owned{PHASEWRIGHT_PROGRAM};
    owned.insert(owned.end(), arguments.begin(), arguments.end());
    std::vector<char*> words;
    for (std::string& word : owned) words.push_back(word.data());
    words.push_back(nullptr);
    int ends[2];
    REQUIRE(::pipe2(ends, O_CLOEXEC) == 0);
    id_ = ::fork();
    REQUIRE(id_ >= 0);
    if (id_ == 0) {
      ::dup2(ends[1], STDERR_FILENO);
      for (const std::string& entry : plain) ::putenv(const_cast<char*>(entry.c_str()));
      ::execv(words[0], words.data());
      ::_exit(127);
    }
    ::close(ends[1]);
    err_ = ::fdopen(ends[0], "r");
    REQUIRE(err_ != nullptr);
  }
  ~Running() {
    std::fclose(err_);
    if (id_ <= 0) return;
    ::kill(id_, SIGKILL);
    static_cast<void>(end());
  }
  Running(const Running&) = delete;
  Running& operator=(const Running&) = delete;

  // The next line on standard error; waits for it. Empty when there is none any more.
  [[nodiscard]] std::string line() {
    char bytes[1000];
    return std::fgets(bytes, sizeof bytes, err_) == nullptr ? "" : bytes;
  }
  void interrupt() const { REQUIRE(::kill(id_, SIGINT) == 0); }
  // Waits for its end; its exit code.
  [[nodiscard]] int end() {
    int status = 0;
    while (::waitpid(id_, &status, 0) < 0 && errno == EINTR) {
    }
    id_ = -1;
    return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
  }
  [[nodiscard]] std::vector<std::string> children() const {
    std::istringstream ids(read_file(fmt::format("/proc/{}/task/{}/children", id_, id_)));
    std::vector<std::string> found;
    for (std::string id; ids >> id;) found.push_back(id);
    return found;
  }

private:
  pid_t id_ = -1;
  std::FILE* err_ = nullptr;
};

} // namespace

TEST_CASE("frames in PNG files are the pictures of their crank angles", "[cli][film]") {
  const Scratch scratch;
  const Scratch aside;
  const std::string page = made({"-o", scratch / "turn.png", "--frames", "4", "--crank", "20"});
  CHECK(page.find("from 20.0° to 560.0° crank") != std::string::npos);
  CHECK(page.find("4 frames, ") != std::string::npos);
  REQUIRE(scratch.files() == 4);
  for (int k = 0; k < 4; ++k) {
    INFO(k);
    const std::string frame = read_file(scratch / fmt::format("turn-{:04}.png", k + 1));
    CHECK(frame == picture(aside, {"--crank", fmt::format("{}", 20 + 180 * k)}));
  }
  // Turned backward, the crank goes down; other views and states likewise.
  made({"-o", scratch / "back.png", "--frames", "3", "--turned", "backward", "--turns", "0.1", "--from", "side"});
  CHECK(read_file(scratch / "back-0003.png") ==
        picture(aside, {"--crank", "-24", "--turned", "backward", "--from", "side"}));
  made({"-o", scratch / "key.png", "--frames", "2", "--from", "key", "--section", "--plan", "1", "--theme", "night"});
  CHECK(read_file(scratch / "key-0002.png") ==
        picture(aside, {"--crank", "360", "--from", "key", "--section", "--plan", "1", "--theme", "night"}));
}

TEST_CASE("a GIF has its frames, its time and its colours, and is shown over and over", "[cli][film]") {
  const Scratch scratch;
  const Scratch aside;
  const std::string file = scratch / "turn.gif";
  made({"-o", file, "--frames", "12", "--fps", "30"});
  // 12 frames at 30 a second are 0.4 s; a loop of 0 is one without end.
  CHECK(python("import sys\nfrom PIL import Image\nfilm = Image.open(sys.argv[1])\ntime = 0\n"
               "for frame in range(film.n_frames):\n    film.seek(frame)\n    time += film.info[\"duration\"]\n"
               "print(film.format, film.n_frames, film.size, film.info[\"loop\"], time)",
               file) == "GIF 12 (160, 120) 0 400\n");
  for (const int frame : {0, 5, 11}) {
    INFO(frame);
    static_cast<void>(picture(aside, {"--crank", fmt::format("{}", 60 * frame)}));
    const Apart found = apart(file, frame, aside / "picture.png");
    CHECK(found.mean < 2.0);
    CHECK(found.most < 40);
  }
  static_cast<void>(picture(aside, {"--crank", "90"}));
  CHECK(apart(file, 0, aside / "picture.png").mean > 2.0); // and another angle's is told apart
  const std::string bytes = read_file(file);
  made({"-o", file, "--frames", "12", "--fps", "30"});
  CHECK(read_file(file) == bytes);
  CHECK(scratch.files() == 1);
}

TEST_CASE("an MP4 has the frames, size and time that ffprobe finds, and starts at once", "[cli][film]") {
  const Scratch scratch;
  const Scratch aside;
  const std::string file = scratch / "turn.mp4";
  made({"-o", file, "--frames", "15", "--fps", "10"});
  CHECK(said_by("ffprobe -v error -count_frames -select_streams v:0 -show_entries stream=codec_name,width,height,"
                "pix_fmt,r_frame_rate,nb_read_frames,duration -of csv=p=0 " +
                file) == "h264,160,120,yuv420p,10/1,1.500000,15\n");
  const std::string bytes = read_file(file);
  CHECK(bytes.find("moov") < bytes.find("mdat")); // ISO/IEC 14496-12: what the film is before its pictures
  CHECK(scratch.files() == 1);
  // Its colours are the picture's, as far as a coarser grid of colours lets them.
  said_by(fmt::format("ffmpeg -v error -i {} -vf 'select=eq(n\\,5)' -frames:v 1 {}", file, aside / "frame.png"));
  static_cast<void>(picture(aside, {"--crank", "240"}));
  CHECK(apart(aside / "frame.png", 0, aside / "picture.png").mean < 4.0);
}

TEST_CASE("a film says in JSON what it is", "[cli][film]") {
  const Scratch scratch;
  const nlohmann::json said = answer({"film", "-o", scratch / "a.gif", "--size", "64x48", "--frames", "8", "--fps",
                                      "16", "--crank", "-30", "--theme", "night"});
  CHECK(said["files"] == nlohmann::json::array({scratch / "a.gif"}));
  CHECK(said["shown"] == "the drive as fitted, turning");
  CHECK(said["frames"] == 8);
  CHECK(said["frames_per_second"] == 16);
  CHECK(number(said["seconds"]) == 0.5);
  CHECK(said["width_px"] == 64);
  CHECK(said["height_px"] == 48);
  CHECK(said["theme"] == "night");
  CHECK(number(said["first_crank_deg"]) == -30.0);
  CHECK(number(said["last_crank_deg"]) == 600.0);
  CHECK(said["seamless"] == true);
  CHECK(said.dump().find("ms") == std::string::npos); // no time that another run would not have
}

TEST_CASE("after a cycle the picture is as before, although the chain has moved on", "[cli][film]") {
  const Scratch scratch;
  CHECK(made({"-o", scratch / "a.gif", "--frames", "2"})
            .find("Shown over and over it goes on without a jump.\n"
                  "A chain of 52 links stands 38 links further on after it.") != std::string::npos);
  static_cast<void>(picture(scratch, {"--crank", "0"}));
  std::filesystem::rename(scratch / "picture.png", scratch / "before.png");
  static_cast<void>(picture(scratch, {"--crank", "720"}));
  CHECK(apart(scratch / "before.png", 0, scratch / "picture.png").mean < 0.01);
  CHECK(made({"-o", scratch / "a.gif", "--frames", "2", "--turns", "1"}).find("it jumps") != std::string::npos);
  const nlohmann::json odd = answer({"film", models_path("marram-1420.toml"), "-o", scratch / "a.gif", "--size",
                                     "64x48", "--frames", "2", "--turns", "3"});
  CHECK(odd["seamless"] == false);
}

TEST_CASE("a drive is taken apart part after part, and put together the same way", "[cli][film]") {
  const Scratch scratch;
  const Scratch aside;
  made({"-o", scratch / "apart.png", "--of", "apart", "--frames", "8"});
  const auto frame = [&](int k) { return read_file(scratch / fmt::format("apart-{:04}.png", k)); };
  for (const int k : {2, 3, 4}) CHECK(frame(k) == frame(10 - k));
  CHECK(frame(1) != frame(2));
  CHECK(frame(2) != frame(3));
  CHECK(frame(5) == picture(aside, {"--apart", "1", "--from", "side"}));
  CHECK(frame(3) != picture(aside, {"--apart", "0.5", "--from", "side"})); // where all parts go together
}

TEST_CASE("a chain is laid a tooth further, the crank still, and what is not so on the bench is said", "[cli][film]") {
  const Scratch scratch;
  const nlohmann::json said = answer(
      {"film", "-o", scratch / "lay.png", "--of", "lay", "--frames", "9", "--size", "320x240", "--crank", "20"}, 1);
  // What it goes over to is judged: a tooth is 18.9 crank degrees, and the inlet valve meets its limit long before.
  CHECK(said["safe"] == false);
  CHECK(said["verdict"].get<std::string>().find("the chain laid a tooth further") != std::string::npos);
  CHECK(said["shown"] == "the drive as fitted, the chain laid a tooth further");
  CHECK(number(said["first_crank_deg"]) == 20.0);
  CHECK(number(said["last_crank_deg"]) == 20.0);
  CHECK(said["seamless"] == false);
  CHECK(said["exaggerated"].dump().find("on the bench the chain comes off for it") != std::string::npos);
  const auto frame = [&](int k) { return read_file(scratch / fmt::format("lay-{:04}.png", k)); };
  CHECK(frame(1) == frame(2)); // it rests
  CHECK(frame(8) == frame(9));
  for (int k = 3; k < 8; ++k) CHECK(frame(k) != frame(k + 1));
  const std::string page = made({"-o", scratch / "plan.gif", "--of", "lay", "--plan", "1", "--frames", "5"});
  CHECK(page.find("option 1 of the plan put in") != std::string::npos);
  CHECK(page.find("Cam: phase from -2.03° to +1.97° crank.") != std::string::npos);
  CHECK(page.find("on the bench it is another key") != std::string::npos);
}

TEST_CASE("a film has labels as a picture has", "[cli][film]") {
  const Scratch scratch;
  const Scratch aside;
  made({"-o", scratch / "a.png", "--labels", "--frames", "2"});
  CHECK(read_file(scratch / "a-0001.png") == picture(aside, {"--labels"}));
  made({"-o", scratch / "b.png", "--frames", "2"});
  CHECK(read_file(scratch / "a-0002.png") != read_file(scratch / "b-0002.png"));
}

TEST_CASE("Ctrl+C ends a film, and leaves neither a file nor a program behind", "[cli][film]") {
  for (const char* name : {"long.mp4", "long.gif", "long.png"}) {
    INFO(name);
    const Scratch scratch;
    Running program({"film", "-o", scratch / name, "--frames", "2000", "--size", "320x240", "--progress"});
    CHECK(program.line() == "0 %, 1999 frames left\n");
    const std::vector<std::string> children = program.children();
    CHECK(children.size() == (std::string(name) == "long.mp4" ? 1 : 0));
    CHECK(scratch.files() == 1); // what waits beside
    program.interrupt();
    std::string last;
    for (std::string line = program.line(); !line.empty(); line = program.line()) last = line;
    CHECK(last == "phasewright: cancelled; nothing was written\n");
    CHECK(program.end() == 130);
    CHECK(scratch.files() == 0);
    for (const std::string& child : children) CHECK_FALSE(std::filesystem::exists("/proc/" + child));
  }
}

TEST_CASE("an MP4 needs ffmpeg, and says what it said", "[cli][film]") {
  const Scratch scratch;
  const Scratch programs;
  const std::vector<std::string> small{"-o", scratch / "a.mp4", "--size", "64x48", "--frames", "50"};
  const Run none = film(small, {"PATH=" + programs.path().string()});
  CHECK(none.exit_code == 2);
  CHECK(none.out.empty());
  CHECK(none.err.find("a.mp4: the program ffmpeg, which makes MP4 files, is not installed: install the package ffmpeg, "
                      "or name a file that ends in .gif or .png") != std::string::npos);
  const std::string broken = programs.write("ffmpeg", "#!/bin/sh\necho 'no such encoder' >&2\nexit 1\n");
  std::filesystem::permissions(broken, std::filesystem::perms::owner_all);
  const Run failed = film(small, {"PATH=" + programs.path().string()});
  CHECK(failed.exit_code == 2);
  CHECK(failed.out.empty());
  CHECK(failed.err.find("ffmpeg could not make it: no such encoder") != std::string::npos);
  CHECK(scratch.files() == 0);
}

TEST_CASE("a film that cannot be had is refused", "[cli][film]") {
  const Scratch scratch;
  const std::string file = scratch / "a.gif";
  const std::vector<std::pair<std::vector<std::string>, std::string>> refusals{
      {{}, "say where the film goes"},
      {{"-o", scratch / "a.avi"}, "allowed a file name that ends in .mp4, .gif or .png"},
      {{"-o", ".gif"}, "allowed a file name that ends in .mp4, .gif or .png"},
      {{"-o", scratch / "none/a.gif"}, "a.gif"},
      {{"-o", scratch / "none/a.png"}, "a.png"},
      {{"-o", scratch / "none/a.mp4"}, "a.mp4"},
      {{"-o", file, "--of", "sleep"}, "--of: found sleep, allowed turn, lay or apart"},
      {{"-o", file, "--frames", "1"}, "--frames: found 1, allowed 2 to 2000 frames"},
      {{"-o", file, "--frames", "2001"}, "--frames: found 2001, allowed 2 to 2000 frames"},
      {{"-o", file, "--fps", "4"}, "--fps: found 4, allowed 5 to 60 frames a second"},
      {{"-o", file, "--fps", "60"}, "--fps: found 60, allowed 5 to 50 for a GIF"},
      {{"-o", file, "--turns", "0"}, "--turns: found 0, allowed 0.01 to 1000 turns"},
      {{"-o", file, "--turns", "1", "--of", "apart"}, "--turns: found --of apart beside it, allowed --of turn"},
      {{"-o", file, "--apart", "1", "--of", "apart"}, "--apart: found --of apart beside it"},
      {{"-o", scratch / "a.mp4", "--size", "161x120"}, "--size: found 161x120, allowed even numbers for an MP4"},
      {{"-o", file, "--plan", "100000"}, "--plan: found 100000, allowed 1 to 189"},
      {{"-o", file, "--magnify", "3"}, "--magnify: found 3, allowed 1 without --window or --labels"},
      {{"-o", file, "--cylinder", "5"}, "--cylinder: found 5, allowed 1 to 4"},
      {{"-o", file, "--window"}, "no such option: --window"},
  };
  for (const auto& [arguments, said] : refusals) {
    check_refused(film(arguments), said);
  }
  CHECK(scratch.files() == 0);
}
