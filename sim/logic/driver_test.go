package logic

import (
	"testing"

	"pgregory.net/rapid"

	"slatbench/sim"
)

func newDriver(k clock) driver {
	return driver{lead: k.ticks(directionLead), lag: k.ticks(directionLag)}
}

func TestDirectionIsMadeBeforeAndReleasedAfterTheEnable(t *testing.T) {
	d := newDriver(0.010)
	var got []string
	tick := func(want int) {
		d.tick(want, true)
		var out sim.Outputs
		d.drive(&out, 45)
		s := ""
		for _, c := range []struct {
			on   bool
			name string
		}{{out.Up, "U"}, {out.Down, "D"}, {out.Enable, "E"}} {
			if c.on {
				s += c.name
			}
		}
		got = append(got, s)
	}
	for _, want := range []int{-1, -1, -1, -1, 0, 0, 0, 1, 1, 1, 1} {
		tick(want)
	}
	want := []string{"D", "D", "DE", "DE", "D", "", "", "U", "U", "UE", "UE"}
	for i := range want {
		if got[i] != want[i] {
			t.Fatalf("coils %q, expected %q", got, want)
		}
	}
}

func TestStartWaitsUntilReady(t *testing.T) {
	d := newDriver(0.010)
	for range 20 {
		if d.tick(1, false); d.dir != 0 || d.enable {
			t.Fatal("driven before it was ready")
		}
	}
	d.tick(1, true)
	if d.dir != 1 {
		t.Fatal("not driven when ready")
	}
	// What it waited for keeps no running drive from going on, nor from stopping.
	d.tick(1, false)
	d.tick(1, false)
	if !d.enable {
		t.Fatal("a start under way was held")
	}
	if d.tick(0, false); d.enable {
		t.Fatal("a stop was held")
	}
}

// Whatever is wished, the direction contacts never switch while the enable is on, the
// enable is on with the wished direction only, and a stop cuts at once.
func TestContactsSwitchDryWhateverIsWished(t *testing.T) {
	for _, k := range []clock{0.005, 0.010, 0.020} {
		rapid.Check(t, func(t *rapid.T) {
			d := newDriver(k)
			for _, want := range rapid.SliceOfN(rapid.IntRange(-1, 1), 1, 60).Draw(t, "wishes") {
				for range rapid.IntRange(1, 6).Draw(t, "ticks") {
					before := d
					d.tick(want, true)
					if before.enable && d.dir != before.dir {
						t.Fatalf("direction from %d to %d under load", before.dir, d.dir)
					}
					if d.enable && !before.enable && d.dir != before.dir {
						t.Fatal("enable and direction made together")
					}
					if d.enable && d.dir != want {
						t.Fatalf("enabled %d, wished %d", d.dir, want)
					}
				}
			}
		})
	}
}
