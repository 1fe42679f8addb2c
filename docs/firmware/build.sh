#!/bin/sh
# Builds the example controllers: build.sh [FOLDER]. Needs clang and lld; go for the Go one.
set -eu
cd "$(dirname "$0")"
to=${1:-build}
mkdir -p "$to"
: "${CLANG:=clang}"
sources="c/controller.c c/door.c c/locks.c c/parts.c"

# As a WebAssembly module: no C library, memory.fill for clearing structs.
"$CLANG" --target=wasm32 -O2 -std=c11 -Wall -Wextra -mbulk-memory -nostdlib -Wl,--no-entry -o "$to/controller.wasm" $sources

# As a program of this machine.
"$CLANG" -O2 -std=c11 -Wall -Wextra -o "$to/controller" $sources program.c

# The same in Go.
if [ "${2:-}" != c ]; then
    GOOS=wasip1 GOARCH=wasm go build -buildmode=c-shared -o "$to/controller-go.wasm" ./go
fi
