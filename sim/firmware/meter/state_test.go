package meter_test

import (
	"context"
	"slices"
	"testing"

	"github.com/tetratelabs/wazero"
	"github.com/tetratelabs/wazero/api"

	"slatbench/sim/firmware/meter"
)

// stateful is a module with globals, a table, passive segments and the instructions of one
// function.
func stateful(globals [][]byte, code ...byte) []byte {
	body := join([]byte{0}, code, []byte{end})
	return join([]byte("\x00asm\x01\x00\x00\x00"),
		section(1, list([]byte{0x60, 0, 0})),
		section(3, list([]byte{0})),
		section(4, list([]byte{0x70, 0, 1})),
		section(5, list([]byte{0, 1})),
		section(6, list(globals...)),
		section(7, list(append(name("run"), 0, 0))),
		section(9, list([]byte{1, 0, 1, 0})),
		[]byte{12, 1, 1},
		section(10, list(append(leb(len(body)), body...))),
		section(11, list([]byte{1, 1, 9})),
	)
}

// What an instance can change besides its memory is told, and what can't be reached.
func TestState(t *testing.T) {
	number := []byte{i32, 1, 0x41, 0, end}
	constant := []byte{i32, 0, 0x41, 0, end}
	wide := []byte{0x7E, 1, 0x42, 0, end}
	single, double := []byte{0x7D, 1, 0x43, 0, 0, 0, 0, end}, []byte{0x7C, 1, 0x44, 0, 0, 0, 0, 0, 0, 0, 0, end}
	reference := []byte{0x70, 1, 0xD0, 0x70, end}
	vector := join([]byte{0x7B, 1, 0xFD, 12}, make([]byte, 16), []byte{end})
	for _, c := range []struct {
		what    string
		globals [][]byte
		code    []byte
		names   []string
		whole   bool
	}{
		{"no globals", nil, nil, nil, true},
		{"globals", [][]byte{constant, number, wide, constant, single, double}, []byte{0x41, 1, 0x24, 1},
			[]string{"slatbench.global.1", "slatbench.global.2", "slatbench.global.4", "slatbench.global.5"}, true},
		{"a reference", [][]byte{number, reference}, nil, nil, false},
		{"a vector", [][]byte{vector, number}, nil, nil, false},
		{"memory.grow, told by its size", nil, []byte{0x41, 1, 0x40, 0, 0x1A}, nil, true},
		{"memory.init", nil, []byte{0x41, 0, 0x41, 0, 0x41, 1, 0xFC, 8, 0, 0}, nil, true},
		{"memory.copy", nil, []byte{0x41, 0, 0x41, 0, 0x41, 1, 0xFC, 10, 0, 0}, nil, true},
		{"memory.fill", nil, []byte{0x41, 0, 0x41, 0, 0x41, 1, 0xFC, 11, 0}, nil, true},
		{"table.get", nil, []byte{0x41, 0, 0x25, 0, 0x1A}, nil, true},
		{"table.size", nil, []byte{0xFC, 16, 0, 0x1A}, nil, true},
		{"table.set", [][]byte{number}, []byte{0x41, 0, 0xD2, 0, 0x26, 0}, []string{"slatbench.global.0"}, false},
		{"table.fill", nil, []byte{0x41, 0, 0xD2, 0, 0x41, 1, 0xFC, 17, 0}, nil, false},
		{"table.copy", nil, []byte{0x41, 0, 0x41, 0, 0x41, 1, 0xFC, 14, 0, 0}, nil, false},
		{"table.init", nil, []byte{0x41, 0, 0x41, 0, 0x41, 1, 0xFC, 12, 0, 0}, nil, false},
		{"data.drop", nil, []byte{0xFC, 9, 0}, nil, false},
		{"elem.drop", nil, []byte{0xFC, 13, 0}, nil, false},
	} {
		metered, state, err := meter.Meter(stateful(c.globals, c.code...), 100)
		if err != nil {
			t.Fatalf("%s: %v", c.what, err)
		}
		if want := append([]string{meter.Export}, c.names...); state.Whole != c.whole || !slices.Equal(state.Globals, want) {
			t.Errorf("%s: %+v; expected whole %v, globals %v", c.what, state, c.whole, want)
		}
		ctx := context.Background()
		r := wazero.NewRuntime(ctx)
		m, err := r.Instantiate(ctx, metered)
		if err != nil {
			t.Fatalf("%s: %v", c.what, err)
		}
		for _, n := range state.Globals {
			if _, ok := m.ExportedGlobal(n).(api.MutableGlobal); !ok {
				t.Errorf("%s: %s is no mutable global", c.what, n)
			}
		}
		r.Close(ctx)
	}
}
