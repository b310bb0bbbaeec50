# Sourced by ./start and ./check: gets the packages a task needs from the distribution, looks whether the tools will do,
# and builds. Everything here either works or ends with one line that says what is wrong.

set -u
root=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)

# Debian 12 and 13 have every one of these under the same name.
build_packages=(
  g++ cmake ninja-build
  libglm-dev libfmt-dev libboost-dev libeigen3-dev libtomlplusplus-dev nlohmann-json3-dev libcli11-dev
  python3-glad libegl-dev libgl-dev libglfw3-dev libimgui-dev libstb-dev libfreetype-dev libfontconfig-dev
  libmeshoptimizer-dev libtinygltf-dev libcairo2-dev libpango1.0-dev
  libgif-dev
  libegl1 libegl-mesa0 libgl1 libgl1-mesa-dri fonts-dejavu-core)
test_packages=(catch2 libslvs1-dev libbox2d-dev libfcl-dev libassimp-dev python3-numpy python3-pil ffmpeg
  poppler-utils qpdf librsvg2-bin chromium xvfb xdotool file dpkg-dev)
# npm gets the glTF validator and what looks at web pages, over https. Where Node.js is not Debian's, Debian's npm cannot be put beside it.
if ! command -v node >/dev/null || ! command -v npm >/dev/null; then
  test_packages+=(nodejs npm ca-certificates)
fi

say() { printf '%s\n' "$*"; }
fail() { printf '%s: %s\n' "$(basename "$0")" "$*" >&2; exit 1; }

# The packages of the list that dpkg does not count as installed.
missing_packages() {
  local installed
  installed=$(dpkg-query -W -f '${db:Status-Status} ${Package}\n' "$@" 2>/dev/null | sed -n 's/^installed //p')
  printf '%s\n' "$@" | grep -vxF -e "$installed" || true
}

# Sets `as_root` to what must stand before a command that installs.
find_root() {
  as_root=()
  [ "$(id -u)" -eq 0 ] && return
  command -v sudo >/dev/null || fail "these packages are missing, and installing them needs root or sudo: $*"
  as_root=(sudo)
  [ -t 0 ] || as_root=(sudo -n)
  "${as_root[@]}" true 2>/dev/null || fail "these packages are missing, and sudo was refused: $*"
}

# Copies apt's output to the log, and on a terminal counts the packages as they are set up.
apt_progress() {
  local log=$1 total=$2 done=0 line
  while IFS= read -r line; do
    printf '%s\n' "$line" >>"$log"
    case $line in
      "Setting up "*)
        done=$((done + 1))
        [ -t 1 ] && printf '\r  set up %d of %s' "$done" "$total" ;;
    esac
  done
  [ -t 1 ] && [ "$done" -gt 0 ] && printf '\n'
  return 0
}

# install_packages PACKAGE...: installs those that are missing; does nothing, and does not ask apt, when none is.
install_packages() {
  command -v dpkg-query >/dev/null && command -v apt-get >/dev/null || {
    say "This is no Debian: expecting to find what is needed already installed."
    return
  }
  local missing package log total unknown=()
  read -r -d '' -a missing <<<"$(missing_packages "$@")" || true
  [ ${#missing[@]} -gt 0 ] || return 0
  find_root "${missing[*]}"
  log=$(mktemp "${TMPDIR:-/tmp}/phasewright-setup.XXXXXX") || fail "no temporary file can be written"

  say "Installing from the distribution's packages: ${missing[*]}"
  # A failing update is no failure yet: the lists at hand may do.
  "${as_root[@]}" env DEBIAN_FRONTEND=noninteractive apt-get update -q >>"$log" 2>&1 || true
  for package in "${missing[@]}"; do
    apt-cache policy "$package" 2>/dev/null | grep -q 'Candidate: [^(]' || unknown+=("$package")
  done
  [ ${#unknown[@]} -eq 0 ] ||
    fail "no package source offers ${unknown[*]}; Debian 12 and 13 have them (apt's own words: $log)"

  local apt=(env DEBIAN_FRONTEND=noninteractive apt-get install -q -y --no-install-recommends -o Dpkg::Use-Pty=0)
  total=$("${apt[@]}" --simulate "${missing[@]}" 2>/dev/null | grep -c '^Inst ')
  "${as_root[@]}" "${apt[@]}" "${missing[@]}" </dev/null 2>&1 | apt_progress "$log" "$total"
  [ "${PIPESTATUS[0]}" -eq 0 ] ||
    fail "apt could not install ${missing[*]}: $(grep -m1 '^E: ' "$log" || echo "see $log") (all of it: $log)"
  rm -f "$log"
}

# at_least FOUND NEEDED: compares versions.
at_least() { [ "$(printf '%s\n%s\n' "$2" "$1" | sort -V | head -n 1)" = "$2" ]; }

# Refuses a compiler or CMake that is missing or older than Debian 12's.
check_tools() {
  local compiler=${CXX:-g++} version tool
  for tool in "$compiler" cmake ninja; do
    command -v "$tool" >/dev/null || fail "$tool is not there; needed are a C++20 compiler, CMake 3.25 and Ninja"
  done
  version=$(cmake --version | sed -n '1s/[^0-9]*//p')
  at_least "$version" 3.25 || fail "CMake $version is too old; 3.25 is needed"
  version=$("$compiler" -dumpfullversion 2>/dev/null || "$compiler" -dumpversion 2>/dev/null)
  if "$compiler" --version 2>/dev/null | grep -qi clang; then
    at_least "${version:-0}" 14 || fail "$compiler ${version:-(unknown version)} is too old; clang 14 or g++ 12 is needed"
  else
    at_least "${version:-0}" 12 || fail "$compiler ${version:-(unknown version)} is too old; g++ 12 or clang 14 is needed"
  fi
}

# configure FOLDER OPTION...: CMake's own words are shown only when it fails.
configure() {
  local folder=$1 log fresh=()
  shift
  # A tree that was moved or copied keeps its old place in the cache, and CMake refuses it.
  if [ -f "$folder/CMakeCache.txt" ] && ! grep -qxF "CMAKE_HOME_DIRECTORY:INTERNAL=$root" "$folder/CMakeCache.txt"; then
    fresh=(--fresh)
  fi
  mkdir -p "$folder" || fail "the build folder $folder cannot be made"
  log=$folder/configure.log
  cmake "${fresh[@]}" -S "$root" -B "$folder" -G Ninja "$@" >"$log" 2>&1 || {
    tail -n 30 "$log" >&2
    fail "CMake could not set up the build; all it said is in $log"
  }
}

# is_configured FOLDER: whether CMake has finished there before, for this place.
is_configured() {
  [ -f "$1/build.ninja" ] && grep -qxF "CMAKE_HOME_DIRECTORY:INTERNAL=$root" "$1/CMakeCache.txt" 2>/dev/null
}

# build FOLDER TARGET...
build() {
  local folder=$1
  shift
  cmake --build "$folder" --target "$@" || fail "the build failed; the compiler's words are above"
}
