# Sourced by samples/demo.sh and tests/run.sh: Debian packages, installed only where missing, and said.
BUILD_PACKAGES="gcc libc6-dev meson ninja-build pkg-config liblcms2-dev libstb-dev libsqlite3-dev libjansson-dev libexif-dev libheif-dev
    libseccomp-dev libmicrohttpd-dev nettle-dev zlib1g-dev libjpeg62-turbo-dev libpng-dev"
TEST_PACKAGES="clang-format g++ groff-base libcmocka-dev locales python3-skimage python3-pil python3-icalendar sqlite3 chromium nodejs npm poppler-utils"
SLOW_PACKAGES="clang clang-tidy cppcheck debootstrap fish libclang-rt-14-dev zsh" # for what is run by hand, see DEVELOPERS.md

install_missing() {
    missing=""
    for package in "$@"; do
        dpkg-query -W -f '${Status}' "$package" 2>/dev/null | grep -q '^install ok installed' || missing="$missing $package"
    done
    [ -n "$missing" ] || return 0
    echo "Installing:$missing"
    as_root=""
    if [ "$(id -u)" != 0 ]; then
        command -v sudo >/dev/null || { echo "Run as root, or install sudo." >&2; exit 1; }
        as_root=sudo
    fi
    $as_root apt-get update -qq
    $as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends $missing >/dev/null
}
