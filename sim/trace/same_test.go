package trace_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"testing"

	"slatbench/sim/trace"
)

func TestSameRunSameBytes(t *testing.T) {
	for _, f := range formats {
		if a, b := record(t, f, about), record(t, f, about); !bytes.Equal(a, b) {
			t.Errorf("%v: two recordings of the same run differ", f)
		}
	}
}

// The bytes of each format, of a truck moved by whole-number arithmetic. A change of
// the columns or of a format, the Parquet library's included, changes them; a change
// of the physics does not. They are the same on amd64 and arm64.
func TestSameBytesPinned(t *testing.T) {
	for _, c := range []struct {
		format trace.Format
		want   string
	}{
		{trace.CSV, "4a553fb8d1cacf9d"},
		{trace.VCD, "e13c50cea2c7384a"},
		{trace.Parquet, "77e504273e645bca"},
	} {
		var out bytes.Buffer
		r := trace.New(&out, c.format, about)
		v := newInvented(t)
		for range 17000 { // one row group and a part
			v.tick(r)
		}
		if err := r.Close(); err != nil {
			t.Fatal(err)
		}
		sum := sha256.Sum256(out.Bytes())
		if got := hex.EncodeToString(sum[:8]); got != c.want {
			t.Errorf("%v: the hash is %s, want %s", c.format, got, c.want)
		}
	}
}
