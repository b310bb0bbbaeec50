#include "viewer/unsaved_work.hpp"

#include "files/build_text.hpp"
#include "files/document.hpp"
#include "files/files.hpp"
#include "files/limits.hpp"
#include "files/text_file.hpp"
#include "files/toml_value.hpp"

#include <fmt/format.h>

namespace phasewright::viewer {

namespace {

constexpr std::string_view tried_key = "tried = ";

// The keys in the comment before the build.
struct Head {
  std::string keys;
  std::string tried; // as TOML
};

Head head_of(std::string_view text) {
  Head head;
  while (text.starts_with("# ")) {
    const std::size_t end = text.find('\n');
    const std::string_view line = text.substr(2, end == std::string_view::npos ? end : end - 2);
    if (line.starts_with(tried_key))
      head.tried = line.substr(tried_key.size());
    else if (line.starts_with("file = ") || line.starts_with("read = "))
      head.keys += std::string(line) + "\n";
    if (end == std::string_view::npos) break;
    text.remove_prefix(end + 1);
  }
  return head;
}

std::string text_at(const Node& root, const char* key) {
  const Node* node = find(root, key);
  return node != nullptr && node->kind == Node::Kind::text ? node->text : "";
}

// What may be fitted hangs on what is in stock; nothing else of the build is needed to read it.
Fitted read_tried(const std::string& tried, const Build& build, const Engine& engine) {
  Build bare;
  bare.engine = build.engine;
  bare.stock = build.stock;
  std::string text = build_text(bare);
  text.insert(text.find('\n') + 1, fmt::format("fitted = {}\n", tried));
  const Result<Build> read = read_build_text(text, "tried", engine);
  return read ? read->fitted : build.fitted;
}

} // namespace

std::string digest_of(std::string_view text) {
  std::uint64_t sum = 14695981039346656037ULL;
  for (const char byte : text) sum = (sum ^ static_cast<unsigned char>(byte)) * 1099511628211ULL;
  return fmt::format("{:016x}", sum);
}

WorkOf work_of(const std::filesystem::path& path) {
  if (path.empty()) return {};
  std::error_code fault;
  const std::filesystem::path whole = std::filesystem::weakly_canonical(std::filesystem::absolute(path, fault), fault);
  WorkOf of{.file = (fault ? path : whole).string(), .digest = {}};
  if (const auto text = read_text({path.parent_path(), false}, path.filename().string(), limits::document_bytes))
    of.digest = digest_of(*text);
  return of;
}

std::string unsaved_text(const UnsavedWork& work) {
  std::string head = "# Work in Phasewright's viewer that is in no other file yet. It goes when it is saved or given "
                     "up.\n";
  head += fmt::format("# file = {}\n", toml(work.of.file));
  if (!work.of.digest.empty()) head += fmt::format("# read = {}\n", toml(work.of.digest));
  if (work.tried != work.build.fitted) head += fmt::format("# {}{}\n", tried_key, fitted_text(work.tried));
  return head + build_text(work.build);
}

Result<UnsavedWork> read_unsaved(std::string_view text, const std::string& file, const Engine& engine) {
  Result<Build> build = read_build_text(text, file, engine);
  if (!build) return build.problems();
  UnsavedWork work;
  work.build = *std::move(build);
  const Head head = head_of(text);
  const Result<Node> keys = parse_document(head.keys, file);
  if (keys) work.of = {text_at(*keys, "file"), text_at(*keys, "read")};
  work.tried = head.tried.empty() ? work.build.fitted : read_tried(head.tried, work.build, engine);
  return work;
}

} // namespace phasewright::viewer
