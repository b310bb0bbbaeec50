// How far learners have come: kept by name, nothing lost, nothing faulty written over.
#include "files/learners.hpp"

#include "files/folder.hpp"

using namespace phasewright;
using namespace phasewright::testing;

TEST_CASE("progress is kept for each learner, and never taken back", "[learners]") {
  const Folder folder;
  const std::filesystem::path state = folder / "state"; // made when it is missing
  CHECK(read_learners(state)->empty());
  CHECK_FALSE(record_progress(state, "Asta", {"four-strokes", 2, false, ""}));
  CHECK_FALSE(record_progress(state, "Bo \"the belt\" \\ Ødegård", {"one-tooth", 1, false, ""}));
  CHECK_FALSE(record_progress(state, "Asta", {"four-strokes", 6, true, "2026-05-14"}));
  CHECK_FALSE(record_progress(state, "Asta", {"four-strokes", 1, false, ""})); // gone through once more
  CHECK_FALSE(record_progress(state, "Asta", {"four-strokes", 6, true, "2026-06-01"}));
  CHECK_FALSE(record_progress(state, "Asta", {"one-tooth", 3, false, ""}));
  const auto learners = read_learners(state);
  REQUIRE(learners.ok());
  CHECK(learners->size() == 2);
  const LessonProgress* done = find_progress(*learners, "Asta", "four-strokes");
  REQUIRE(done != nullptr);
  CHECK(done->done);
  CHECK(done->step == 6);
  CHECK(done->date == "2026-05-14"); // when it was done first
  CHECK(find_progress(*learners, "Asta", "one-tooth")->step == 3);
  CHECK(find_progress(*learners, "Bo \"the belt\" \\ Ødegård", "one-tooth")->step == 1);
  CHECK(find_progress(*learners, "Bo", "one-tooth") == nullptr);
  CHECK(find_progress(*learners, "Asta", "wear-retards") == nullptr);
}

TEST_CASE("the first answer to a drill counts, and stands beside the lessons", "[learners]") {
  const Folder folder;
  const std::filesystem::path& state = folder.path();
  CHECK(drills_answered(*read_learners(state), "Asta").empty());
  CHECK(drills_words({}) == "no drill answered yet");
  CHECK_FALSE(record_progress(state, "Asta", {"four-strokes", 2, false, ""}));
  CHECK_FALSE(record_drill(state, "Asta", {"Marram 1420", 7, 2, false, false, "2026-05-14"}));
  CHECK_FALSE(record_drill(state, "Asta", {"Marram 1420", 7, 2, true, true, "2026-05-15"})); // it has been told
  CHECK_FALSE(record_drill(state, "Asta", {"Marram 1420", 7, 3, true, true, ""}));
  CHECK_FALSE(record_drill(state, "Asta", {"Dunlin \"3\"", 7, 2, true, false, "2026-05-15"}));
  CHECK_FALSE(record_drill(state, "Bo", {"Marram 1420", 2147483647, 4, true, true, ""}));
  const auto learners = read_learners(state);
  REQUIRE(learners.ok());
  const std::vector<DrillAnswered> drills = drills_answered(*learners, "Asta");
  REQUIRE(drills.size() == 3);
  CHECK(drills[0].engine == "Marram 1420");
  CHECK(drills[0].number == 7);
  CHECK(drills[0].level == 2);
  CHECK_FALSE(drills[0].named);
  CHECK_FALSE(drills[0].cured);
  CHECK(drills[0].date == "2026-05-14");
  CHECK(drills[2].engine == "Dunlin \"3\"");
  CHECK(drills_words(drills) == "3 drills answered: 2 rightly named, 1 put right");
  CHECK(drills_answered(*learners, "Bo").front().number == 2147483647);
  CHECK(find_progress(*learners, "Asta", "four-strokes")->step == 2);
  CHECK_FALSE(record_drill(state, "", {"Marram 1420", 7, 2, false, false, ""}));
  CHECK(read_learners(state)->size() == 2);
}

TEST_CASE("a file that is full says so, and can be read as before", "[learners]") {
  const Folder folder;
  std::string text = "format = \"phasewright-learners/1\"\n";
  for (const char* name : {"Asta", "Bo", "Cai"}) {
    text += std::string("[[learner]]\nname = \"") + name + "\"\ndrills = [\n";
    for (int i = 0; i < 1100; ++i)
      text += "  { engine = \"Marram 1420\", number = " + std::to_string(i) +
              ", level = 1, named = true, cured = true, date = \"2026-05-14\" },\n";
    text += "]\n";
  }
  folder.write(learners_file_name, text);
  REQUIRE(read_learners(folder.path()).ok());
  std::optional<Problem> refused;
  int kept = 0;
  for (int i = 2000; i < 2200 && !refused; ++i, ++kept)
    refused = record_drill(folder.path(), "Bo", {"Marram 1420", i, 1, true, true, "2026-05-14"});
  REQUIRE(refused.has_value());
  CHECK(to_text(*refused).find("it is full") != std::string::npos);
  const auto learners = read_learners(folder.path());
  REQUIRE(learners.ok());
  CHECK(drills_answered(*learners, "Bo").size() == static_cast<std::size_t>(1100 + kept - 1));
}

TEST_CASE("without a name or a folder nothing is kept", "[learners]") {
  const Folder folder;
  CHECK_FALSE(record_progress(folder.path(), "", {"four-strokes", 2, false, ""}));
  CHECK_FALSE(record_progress({}, "Asta", {"four-strokes", 2, false, ""}));
  CHECK(folder.names().empty());
  CHECK(read_learners({})->empty());
  const auto refused = record_progress(folder.path(), "two\nlines", {"four-strokes", 2, false, ""});
  REQUIRE(refused.has_value());
  CHECK(folder.names().empty());
  CHECK(is_learner_name("Asta"));
  CHECK_FALSE(is_learner_name("\xff"));
  CHECK_FALSE(is_learner_name("  "));
  CHECK_FALSE(is_learner_name(std::string(81, 'a')));
}

TEST_CASE("a faulty file is said to be so, and not written over", "[learners]") {
  struct Broken {
    const char* text;
    const char* said;
  };
  const Folder folder;
  const std::string head = "format = \"phasewright-learners/1\"\n";
  for (const auto& [text, said] :
       {Broken{"format = 1", ":1:10: format: found 1, allowed"},
        Broken{"format = \"phasewright-learners/2\"\n",
               ":1:10: format: found \"phasewright-learners/2\", allowed \"phasewright-learners/1\""},
        Broken{"[[learner]]\nname = \"Asta\"\nlessons = [{ name = \"a\", step = -1 }]\n",
               ":4:33: learner[1].lessons[1].step: found -1, allowed a whole number 0 to 99"},
        Broken{"[[learner]]\nname = \"Asta\"\nlesons = []\n",
               "learner[1].lesons: found an unknown key; did you mean lessons?"},
        Broken{"[[learner]]\nname = \"Asta\"\n[[learner]]\nname = \"Asta\"\n",
               ":5:8: learner[2].name: found \"Asta\", allowed each learner once"},
        Broken{"[[learner]]\nname = \"Asta\"\nlessons = [{ name = \"a\", date = \"May\" }]\n",
               "date: found \"May\", allowed a day"},
        Broken{"[[learner]]\nname = \"Asta\"\ndrills = [{ engine = \"a\", number = -7 }]\n",
               "learner[1].drills[1].number: found -7, allowed a whole number 0 to"},
        Broken{"[[learner]]\nname = \"Asta\"\ndrills = [{ engine = \"a\", level = 0 }]\n",
               "learner[1].drills[1].level: found 0, allowed a whole number 1 to 9"},
        Broken{"[[learner]]\nname = \"Asta\"\ndrills = [{ number = 7 }]\n",
               "learner[1].drills[1].engine: found nothing"},
        Broken{"learner = {", "not TOML"}}) {
    const std::string whole = std::string(text).starts_with("format") ? text : head + text;
    INFO(whole);
    folder.write(learners_file_name, whole);
    const auto read = read_learners(folder.path());
    REQUIRE_FALSE(read.ok());
    const std::string words = to_text(read.problems());
    INFO(words);
    CHECK(words.find(said) != std::string::npos);
    const auto refused = record_progress(folder.path(), "Asta", {"four-strokes", 2, false, ""});
    REQUIRE(refused.has_value());
    CHECK(slurp(folder / learners_file_name) == whole);
  }
}
