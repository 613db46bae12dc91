# Sourced by app/start, tests/run and .ci/run: looks for what they need, installs it where it may, else names it.
# One row per need: program or library | Debian, Ubuntu | Fedora | Arch.

# Building: PROJ and SQLite are compiled from the sources inside their crates, hence a C++ compiler, CMake and sqlite3.
build_needs='g++|g++|gcc-c++|gcc
cmake|cmake|cmake|cmake
make|make|make|make
sqlite3|sqlite3|sqlite|sqlite'

# Opening the window: these libraries are looked up when the program starts, so only starting it would show them missing.
window_needs='libX11-xcb.so.1|libx11-xcb1|libX11-xcb|libx11
libXcursor.so.1|libxcursor1|libXcursor|libxcursor
libXi.so.6|libxi6|libXi|libxi
libXrandr.so.2|libxrandr2|libXrandr|libxrandr
libxkbcommon-x11.so.0|libxkbcommon-x11-0|libxkbcommon-x11|libxkbcommon-x11
libGL.so.1|libgl1|mesa-libGL|mesa
libEGL.so.1|libegl1|mesa-libEGL|mesa
libwayland-client.so.0|libwayland-client0|libwayland-client|wayland
libwayland-egl.so.1|libwayland-egl1|libwayland-egl|wayland'

# Checking against other programs: only .ci/run asks for them, the tests say so where they are missing.
check_needs='ngspice|ngspice|ngspice|ngspice
ogrinfo|gdal-bin|gdal|gdal
pdftoppm|poppler-utils|poppler-utils|poppler
chromium|chromium|chromium|chromium
python3|python3-venv|python3|python
soffice|libreoffice-calc-nogui|libreoffice-calc|libreoffice-still'

# Looking at the window from a script.
picture_needs='Xvfb|xvfb|xorg-x11-server-Xvfb|xorg-server-xvfb
xdotool|xdotool|xdotool|xdotool
import|imagemagick|ImageMagick|imagemagick'

stop() {
    printf '%s\n' "$1" >&2
    exit 2
}

is_here() {
    case $1 in
        *.so.*) PATH="$PATH:/sbin:/usr/sbin" ldconfig -p 2>/dev/null | grep -q "$1" ;;
        *) command -v "$1" >/dev/null 2>&1 ;;
    esac
}

# The missing ones of the rows in $1, as names of column $2 on one line.
missing() {
    printf '%s\n' "$1" | while IFS='|' read -r what debian fedora arch; do
        is_here "$what" && continue
        case $2 in debian) printf '%s ' "$debian" ;; fedora) printf '%s ' "$fedora" ;; arch) printf '%s ' "$arch" ;; esac
    done
}

# Makes sure that everything in the rows of $1 is there.
need() {
    packages=$(missing "$1" debian)
    [ -n "$packages" ] || return 0
    if [ "$(id -u)" -eq 0 ]; then as_root=env; else as_root='sudo -n env'; fi
    if is_here apt-get && $as_root true 2>/dev/null; then
        printf 'Installing %s\n' "$packages" >&2
        apt="$as_root DEBIAN_FRONTEND=noninteractive apt-get"
        $apt update -q </dev/null >&2 || true
        # shellcheck disable=SC2086 # a list of words
        $apt install -q -y --no-install-recommends $packages </dev/null >&2 || true
    fi
    [ -z "$(missing "$1" debian)" ] || stop "Missing. Debian, Ubuntu: sudo apt-get install $(missing "$1" debian)| Fedora: sudo dnf install $(missing "$1" fedora)| Arch: sudo pacman -S $(missing "$1" arch)| macOS: xcode-select --install; brew install cmake"
}

need_cargo() {
    PATH="$PATH:${CARGO_HOME:-$HOME/.cargo}/bin"
    is_here cargo || stop 'Missing: the Rust toolchain, 1.95 or later (cargo). It comes with rustup: see https://rustup.rs'
}
