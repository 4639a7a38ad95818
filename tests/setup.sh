# Shared by tests/run, notebooks/run and .ci/run: what the machine needs, the virtual environment and the wheel in it.
# The caller has `set -euo pipefail` and stands at the top of the repository.
export PIP_DISABLE_PIP_VERSION_CHECK=1
venv="$PWD/build/venv"

# Each line: how to see that it is there, then the Debian package that brings it.
needs_to_install() {
  cat <<'NEEDS'
g++ --version|g++
python3 -c 'import venv, ensurepip'|python3-venv
python3 -c 'import os, sysconfig; os.stat(sysconfig.get_path("include") + "/Python.h")'|python3-dev
NEEDS
}
needs_to_test() {
  needs_to_install
  cat <<'NEEDS'
clang++ --version|clang
cmake --version|cmake
ninja --version|ninja-build
git --version|git
nm --version|binutils
ccache --version|ccache
has_header Eigen/Core /usr/include/eigen3|libeigen3-dev
has_header fmt/format.h /usr/include|libfmt-dev
has_header gtest/gtest.h /usr/include|libgtest-dev
NEEDS
}
has_header() { [ -e "$2/$1" ] || echo "#include <$1>" | g++ -x c++ -fsyntax-only - ; }

# system_packages LIST: installs what is missing as root on Debian; otherwise says what is missing and ends with 2.
system_packages() {
  local list=$1 probe package missing=()
  while IFS='|' read -r probe package; do
    eval "$probe" >/dev/null 2>&1 </dev/null || missing+=("$package")
  done < <("$list")
  if [ ${#missing[@]} -gt 0 ]; then
    if [ "$(id -u)" != 0 ] || ! command -v apt-get >/dev/null; then
      echo "Missing on this machine (names of Debian packages): ${missing[*]}" >&2
      echo "Install them, then run this again." >&2
      exit 2
    fi
    echo "Installing: ${missing[*]}"
    export DEBIAN_FRONTEND=noninteractive
    apt-get update
    apt-get install -y --no-install-recommends "${missing[@]}"
  fi
  if ! python3 -c 'import sys; sys.exit(sys.version_info < (3, 11))'; then
    echo "python3 on PATH is $(python3 --version); Lutum needs 3.11 or later." >&2
    exit 2
  fi
}

# content_of PATH...: one checksum over the names and contents of all files below the paths.
content_of() {
  find "$@" -type f -not -path '*/__pycache__/*' -print0 | sort -z | xargs -0 sha256sum | sha256sum | cut -d' ' -f1
}

# install_lutum EXTRA [PIP_OPTION...]: builds the wheel when a source has changed and installs it with that extra.
install_lutum() {
  local extra=$1 stamp wheel installed="$venv/installed-$1"
  shift
  [ -x "$venv/bin/python" ] || python3 -m venv "$venv"
  stamp=$(content_of CMakeLists.txt pyproject.toml README.md LICENSE cpp bindings python tests/check_values)
  if [ "$(cat build/wheel/stamp 2>/dev/null)" != "$stamp" ]; then
    rm -rf build/wheel
    "$venv/bin/python" -m pip wheel . --no-deps --wheel-dir build/wheel "$@"
    echo "$stamp" > build/wheel/stamp
  fi
  if [ "$(cat "$installed" 2>/dev/null)" != "$stamp" ]; then
    wheel=$(echo "$PWD"/build/wheel/lutum-*.whl)
    "$venv/bin/python" -m pip install "${wheel}[$extra]"
    "$venv/bin/python" -m pip install --force-reinstall --no-deps "$wheel"
    rm -f "$venv"/installed-*
    echo "$stamp" > "$installed"
  fi
}
