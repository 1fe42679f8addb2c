package meter_test

// A module of one function, put together by hand: () -> (), exported as "run", with
// so many i32 locals, one memory of 1 page, and a mutable i32 global "n".

const (
	i32    = 0x7F
	empty  = 0x40
	end    = 0x0B
	loop   = 0x03
	branch = 0x0C
	call   = 0x10
)

func list(items ...[]byte) []byte {
	out := []byte{byte(len(items))}
	for _, i := range items {
		out = append(out, i...)
	}
	return out
}

func name(s string) []byte { return append([]byte{byte(len(s))}, s...) }

func section(id byte, body []byte) []byte {
	return append(append([]byte{id}, leb(len(body))...), body...)
}

func leb(n int) []byte {
	var out []byte
	for n >= 0x80 {
		out = append(out, byte(n)|0x80)
		n >>= 7
	}
	return append(out, byte(n))
}

func join(parts ...[]byte) (out []byte) {
	for _, p := range parts {
		out = append(out, p...)
	}
	return out
}

// withCode is that module with the instructions of its function, the end left out.
func withCode(code ...byte) []byte { return withLocals(1, code...) }

// withLocals is the same with so many locals.
func withLocals(n byte, code ...byte) []byte {
	body := join([]byte{1, n, i32}, code, []byte{end})
	return join([]byte("\x00asm\x01\x00\x00\x00"),
		section(1, list([]byte{0x60, 0, 0})),
		section(3, list([]byte{0})),
		section(5, list([]byte{0, 1})),
		section(6, list([]byte{i32, 1, 0x41, 0, end})),
		section(7, list(append(name("run"), 0, 0), append(name("n"), 3, 0), append(name("memory"), 2, 0))),
		section(10, list(append(leb(len(body)), body...))),
	)
}

// count adds 1 to the global.
var count = []byte{0x23, 0, 0x41, 1, 0x6A, 0x24, 0}
