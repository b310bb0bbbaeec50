// Opening another file in place of the one that is open.
#include "viewer/app.hpp"

#include "viewer/folder_list.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <filesystem>
#include <system_error>

namespace phasewright::viewer {

namespace {

namespace fs = std::filesystem;

bool is_ascii(const std::string& words) {
  return std::ranges::all_of(words, [](char c) { return static_cast<unsigned char>(c) < 0x80U; });
}

std::vector<std::string> lines_of(const Problems& problems) {
  std::vector<std::string> lines;
  for (const Problem& problem : problems) lines.push_back(to_text(problem));
  return lines;
}

std::vector<OpenRow> rows_of(const FolderList& list, const std::vector<std::string>& recent) {
  std::vector<OpenRow> rows;
  if (!recent.empty()) rows.push_back({"open lately", "", ""});
  for (const std::string& file : recent)
    rows.push_back({fs::path(file).filename().string(), fs::path(file).parent_path().string(), file});
  rows.push_back({list.path, "", ""});
  const fs::path folder(list.path);
  if (folder.has_relative_path()) rows.push_back({"..", "the folder above", (folder / "..").string()});
  for (const FolderEntry& entry : list.entries)
    rows.push_back({entry.name + (entry.folder ? "/" : ""), "", (folder / entry.name).string()});
  if (list.cut) rows.push_back({fmt::format("{} of them are shown: type the name of another", most_entries), "", ""});
  return rows;
}

} // namespace

void App::show_folder(const std::string& path) {
  const FolderList list = list_folder(path);
  OpenCard& open = view_.open_card;
  const bool again = open.shown;
  open = OpenCard{.shown = true, .folder = list.path, .rows = rows_of(list, read_recent(state_folder_))};
  if (!list.fault.empty()) open.faults = {list.fault};
  const auto file = [&open](std::size_t i) { return !open.rows[i].path.empty(); };
  // A folder that was just gone into, at its own rows; else at the first.
  while (again && open.chosen < open.rows.size() && open.rows[open.chosen].label != list.path) ++open.chosen;
  while (open.chosen < open.rows.size() && !file(open.chosen)) ++open.chosen;
  if (open.chosen < open.rows.size()) open.path = open.rows[open.chosen].path;
  for (const OpenRow& row : open.rows)
    for (const std::string* words : {&row.label, &row.note})
      if (!is_ascii(*words) && shown_words_.find(*words) == std::string::npos) {
        shown_words_ += *words;
        fonts_stale_ = true;
      }
  view_.card = {};
}

void App::show_open_card() {
  const std::string& file = file_of(bench_);
  show_folder(fs::path(file).parent_path().string());
}

Result<Workbench> App::open_bench(const std::string& path) {
  Result<Opened> opened = open_any(path, models_);
  if (!opened) return opened.problems();
  Result<Workbench> bench = Workbench::open(*opened);
  if (!bench) {
    Problems problems = bench.problems();
    locate(problems, opened->sources);
    return problems;
  }
  cautions_ = fmt::format("{}", fmt::join(opened->cautions, "  "));
  return bench;
}

void App::open_file(const std::string& typed) {
  if (typed.empty()) return;
  const fs::path path = spelt_out(typed, view_.open_card.shown ? view_.open_card.folder : "");
  std::error_code fault;
  if (fs::is_directory(path, fault)) return show_folder(path.string());
  Result<Workbench> bench = open_bench(path.string());
  if (!bench) {
    if (!view_.open_card.shown) show_folder(path.parent_path().string());
    view_.open_card.path = path.string();
    view_.open_card.faults = lines_of(bench.problems());
    return;
  }
  view_.open_card = {};
  view_.card = {};
  if (own_bench().unsaved()) {
    view_.save = {SaveCard::Shown::open, own_bench().suggested_path(), {}, path.string()};
    return;
  }
  end_practice();
  replace_bench(*std::move(bench));
}

// What there was is saved or given up.
void App::open_after_all() {
  const std::string path = view_.save.then_open;
  view_.save = {};
  Result<Workbench> bench = open_bench(path);
  if (bench) {
    end_practice();
    return replace_bench(*std::move(bench));
  }
  show_folder(fs::path(path).parent_path().string()); // it was sound when it was asked for
  view_.open_card.path = path;
  view_.open_card.faults = lines_of(bench.problems());
}

void App::replace_bench(Workbench bench) {
  recovery_.drop();
  put_on_bench(std::move(bench));
  overridden_ = false;
  view_.notice = std::exchange(cautions_, {});
  note_open_file();
  look_for_left_work();
}

void App::note_open_file() {
  const std::string& file = file_of(own_bench());
  if (!file.empty()) add_recent(state_folder_, file);
}

} // namespace phasewright::viewer
