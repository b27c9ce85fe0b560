#!/usr/bin/env bash
# Breaks the program on purpose, one fault at a time, and writes down which cases of the
# verification book notice: table.md beside this script.
#
#   verification/mutations/run.sh                          all faults, the quick cases
#   verification/mutations/run.sh NAME...                  some faults; the rows of the others stay
#   verification/mutations/run.sh --only CASE... -- NAME...  on some cases alone
#
# The sound program runs first: it gives every case its time, and a case that falls short in it
# tells nothing of a fault. A faulty program gets twenty times as long as the sound one, a minute at
# least (LIMIT seconds when that is set), and has failed when it does not end.
#
# Works on a copy in a scratch folder, never on the sources here. Needs cargo and patch. SCRATCH names a
# folder to keep for the next time, CARGO_TARGET_DIR one for the builds, BUILD_FLAGS go to cargo.
set -euo pipefail
here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
root=$(cd "$here/../.." && pwd)
scratch=${SCRATCH:-$(mktemp -d)}
mkdir -p "$scratch/copy" "$scratch/logs"
rm -rf "$scratch/rows" && mkdir "$scratch/rows"
export CARGO_TARGET_DIR=${CARGO_TARGET_DIR:-$scratch/target}
program=$CARGO_TARGET_DIR/release/hoopset

cases=()
if [ "${1:-}" = --only ]; then
    shift
    while [ $# -gt 0 ] && [ "$1" != -- ]; do cases+=("$1"); shift; done
    if [ $# -gt 0 ]; then shift; fi
    list=${cases[*]}
    some=" (run: ${list// /, })"
else
    while IFS= read -r file; do cases+=("$(basename "$(dirname "$file")")"); done \
        < <(grep -l '^quick = true' "$root"/verification/*/expected.toml)
    some=
fi
if [ $# -gt 0 ]; then names=("$@"); else
    names=()
    for patch in "$here"/patches/*.patch; do names+=("$(basename "$patch" .patch)"); done
fi

# Only what differs is copied, so that a build finds what it built before.
fresh() {
    for part in Cargo.toml Cargo.lock README.md build.rs src verification examples docs benches python; do
        if [ -d "$root/$part" ]; then
            (cd "$root/$part" && find . -type f -print0) | while IFS= read -r -d '' file; do
                if ! cmp -s "$root/$part/$file" "$scratch/copy/$part/$file"; then
                    mkdir -p "$(dirname "$scratch/copy/$part/$file")"
                    cp "$root/$part/$file" "$scratch/copy/$part/$file"
                fi
            done
        else
            cmp -s "$root/$part" "$scratch/copy/$part" || cp "$root/$part" "$scratch/copy/$part"
        fi
    done
}

build() {
    (cd "$scratch/copy" && cargo build --release --quiet --bin hoopset ${BUILD_FLAGS:-}) \
        >"$scratch/logs/$1.build" 2>&1
}

# judge LABEL CASE SECONDS: agrees, falls, crashes or endless.
judge() {
    local log=$scratch/logs/$1.$2 code=0
    rm -rf "$scratch"/book "$scratch"/book-*
    timeout -k 5 "$3" "$program" verify --quick --only "$2" --out "$scratch/book" >"$log" 2>&1 || code=$?
    case $code in
    0) echo agrees ;;
    124 | 137) echo endless ;;
    1) if grep -q 'FALLS SHORT' "$log"; then echo falls; else echo crashes; fi ;;
    *) echo crashes ;;
    esac
}

fresh
build sound
sound=()
declare -A limit
for case in "${cases[@]}"; do
    SECONDS=0
    verdict=$(judge sound "$case" "${SOUND_LIMIT:-1800}")
    limit[$case]=${LIMIT:-$((SECONDS * 20 > 60 ? SECONDS * 20 : 60))}
    if [ "$verdict" = agrees ]; then sound+=("$case"); else
        echo "$case: $verdict in the sound program, left out" >&2
    fi
done

for name in "${names[@]}"; do
    patch_file=$here/patches/$name.patch
    fault=$(head -n 1 "$patch_file")
    file=$(sed -n 's|^+++ b/||p' "$patch_file" | head -n 1)
    fresh
    (cd "$scratch/copy" && patch --quiet -p1 <"$patch_file")
    count=0
    noticed=
    if build "$name"; then
        for case in "${sound[@]}"; do
            verdict=$(judge "$name" "$case" "${limit[$case]}")
            case $verdict in
            agrees) continue ;;
            falls) said=$case ;;
            crashes) said="$case (no result)" ;;
            endless) said="$case (no end in ${limit[$case]} s)" ;;
            esac
            count=$((count + 1))
            noticed=${noticed:+$noticed, }$said
        done
    else
        noticed="**does not build**"
    fi
    printf '| %s | %s | `%s` | %s%s | %s |\n' \
        "$name" "$fault" "$file" "$count" "$some" "${noticed:-**nothing**}" >"$scratch/rows/$name"
    echo "$name: ${noticed:-nothing}"
done

# Rows of faults that were not run this time, and the words above the table, stay as they are.
rows=$(for patch in "$here"/patches/*.patch; do
    name=$(basename "$patch" .patch)
    if [ -f "$scratch/rows/$name" ]; then cat "$scratch/rows/$name"
    else grep -F "| $name | " "$here/table.md" || true; fi
done)
{
    sed '/^|---/q' "$here/table.md"
    printf '%s\n' "$rows"
    sed '1,/^|---/d' "$here/table.md" | sed '/^|/d'
} >"$scratch/table.md"
mv "$scratch/table.md" "$here/table.md"
