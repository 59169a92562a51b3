#!/usr/bin/env bash
# Builds the wheel and uses it alone: in an empty environment, without extras, in another folder.
# Needs a Python with "build" as python; leaves nothing behind.
set -euo pipefail

here=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
unset PYTHONPATH PYTHONHOME FIELDNOTES_DB XDG_CACHE_HOME XDG_CONFIG_HOME XDG_DATA_HOME
export PIP_DISABLE_PIP_VERSION_CHECK=1 PIP_ROOT_USER_ACTION=ignore
# What pip has fetched before may be used again; nothing else of the home folder may.
: "${PIP_CACHE_DIR:=$(python -m pip cache dir 2>/dev/null || echo "$work/cache")}"
export PIP_CACHE_DIR HOME="$work/home"
mkdir -p "$HOME" "$work/elsewhere"

fail() {
    printf 'wheel check: %s\n' "$*" >&2
    exit 1
}

python -m build --wheel --outdir "$work/dist" "$here" >"$work/build.log" 2>&1 ||
    { cat "$work/build.log" >&2; fail "the wheel does not build"; }
wheels=("$work"/dist/*.whl)
[ "${#wheels[@]}" -eq 1 ] || fail "not one wheel but ${#wheels[@]}"
wheel=${wheels[0]}
printf 'built %s\n' "$(basename "$wheel")"

python - "$wheel" "$here" <<'END'
import pathlib
import sys
import zipfile

wheel, here = sys.argv[1], pathlib.Path(sys.argv[2])
inside = set(zipfile.ZipFile(wheel).namelist())
wanted = {f"fieldnotes/{path.relative_to(here)}" for path in (here / "grammars").rglob("*.toml")}
wanted |= {str(path.relative_to(here)) for path in (here / "fieldnotes").rglob("*.py")}
wanted |= {"fieldnotes/py.typed"}
if missing := sorted(wanted - inside):
    sys.exit(f"wheel check: not in the wheel: {', '.join(missing)}")
if strange := sorted(name for name in inside if not name.startswith("fieldnotes")):
    sys.exit(f"wheel check: in the wheel by mistake: {', '.join(strange)}")
print(f"{len(wanted)} files of the package and its grammars are inside")
END

python -m venv "$work/empty"
"$work/empty/bin/python" -m pip install --quiet "$wheel"
cd "$work/elsewhere"
PATH="$work/empty/bin:$PATH"

version=$(fieldnotes --version)
[[ $(basename "$wheel") == "${version/ /-}-"* ]] || fail "--version says '$version'"
[ "$(python -m fieldnotes --version)" = "$version" ] || fail "python -m fieldnotes is another one"
fieldnotes --help >/dev/null

note="half cup from center brood frame, 4 mites"
fieldnotes read "$note"
fieldnotes read --json "$note" | python -c '
import json, sys
(visit,) = json.load(sys.stdin)["visits"]
(sample,) = visit["samples"]
said = [sample.get(key) for key in ("mites", "volume_ml", "source", "position")]
assert said == [4, 118.3, "brood", "centre"], said
'
python -m fieldnotes read "$note" >/dev/null
[ -z "$(ls -A .)" ] || fail "files were left behind: $(ls -A .)"
printf '%s is installed alone, and reads a note\n' "$version"
