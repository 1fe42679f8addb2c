package firmware

import (
	"encoding/binary"
	"fmt"
	"io"
	"os"
	"os/exec"
	"runtime"
	"strings"
	"testing"
	"time"

	"slatbench/sim"
)

// The test binary is its own child: this names what it is to do wrong.
const childMode = "SLATBENCH_TEST_CHILD"

func TestMain(m *testing.M) {
	if mode := os.Getenv(childMode); mode != "" {
		child(mode)
		return
	}
	os.Exit(m.Run())
}

// child speaks the frames of program.c: it drives up with the duty of the tick's number,
// and fails at its third tick in the way that it is told.
func child(mode string) {
	layout := goodLayout(servesDoor | servesLocks | tellsState | keepsRecords)[:layoutSize]
	switch mode {
	case "version":
		layout[4] = 9
	case "text":
		fmt.Println("usage: controller [options], and more than a layout takes")
		return
	case "mute":
		time.Sleep(time.Minute)
	}
	os.Stdout.Write(layout)
	head, ticks := make([]byte, headSize), 0
	for {
		if _, err := io.ReadFull(os.Stdin, head); err != nil {
			return
		}
		body := make([]byte, binary.LittleEndian.Uint16(head[2:]))
		if _, err := io.ReadFull(os.Stdin, body); err != nil {
			return
		}
		switch head[0] {
		case framePowerOn:
			ticks = 0
		case frameTick:
			if ticks++; ticks == 3 {
				fail(mode)
			}
			out := make([]byte, outputsSize)
			out[0], out[2], out[3], out[stateOut] = 1, 1, byte(ticks), byte(ticks)
			os.Stdout.Write(out)
		case frameProvision:
			copy(body[8:], body[:4])
			os.Stdout.Write(body[8:])
		case frameTaught:
			os.Stdout.Write(body[:4])
		case frameName:
			name := make([]byte, nameSize)
			copy(name, fmt.Sprintf("number %d", body[0]))
			os.Stdout.Write(name)
		}
	}
}

func fail(mode string) {
	switch mode {
	case "dies":
		fmt.Fprintln(os.Stderr, "assertion failed: pulses >= 0")
		os.Exit(3)
	case "hangs":
		time.Sleep(time.Minute)
	case "leaves":
		os.Exit(0)
	case "parent": // its child outlives it, unless the group is ended
		c := exec.Command("sleep", "60")
		if c.Start() == nil {
			fmt.Fprintln(os.Stderr, "child", c.Process.Pid)
		}
		os.Exit(4)
	}
}

func openChild(t *testing.T, mode string, deadline time.Duration) *Program {
	t.Helper()
	t.Setenv(childMode, mode)
	p, err := OpenProgram("child", []string{os.Args[0]}, deadline)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { p.Close() })
	return p
}

func TestProgram(t *testing.T) {
	p := openChild(t, "good", 10*time.Second)
	doors, locks := p.Controllers(2, 0.01)
	var kept sim.Store
	k := doors[0].(sim.Provisioner)
	k.Provision(&kept, 371, 5)
	if travel, ok := k.Taught(&kept); travel != 371 || !ok {
		t.Errorf("taught %d, %v, expected 371", travel, ok)
	}
	var in sim.Inputs
	var out sim.Outputs
	for round := range 2 {
		for _, c := range []sim.Controller{doors[0], doors[1], locks} {
			c.PowerOn(&kept)
			for n := uint8(1); n <= 4; n++ {
				c.Tick(&in, &out)
				if out.Duty != n || !out.Up || c.(sim.Faller).Silent() != "" {
					t.Fatalf("round %d, tick %d: %+v, silent %q: a power-on starts a controller anew", round, n, out, c.(sim.Faller).Silent())
				}
			}
		}
	}
	if got := doors[0].(sim.Teller).State(); got != "number 4" {
		t.Errorf("the state is %q, expected number 4", got)
	}
	p.Return(doors, locks)
	if n := len(p.open); n > 1 {
		t.Errorf("%d processes run after the controllers were given back, expected the one that is asked", n)
	}
}

// A program that fails goes silent, says why, and starts anew with the next power-on;
// its neighbour does not notice. Nothing of it is left behind.
func TestProgramGoesSilent(t *testing.T) {
	for mode, says := range map[string]string{
		"dies":   "it ended: exit status 3; it said: assertion failed: pulses >= 0",
		"leaves": "it ended, with exit status 0",
		"hangs":  "it gave no answer within 2s",
		"parent": "it ended: exit status 4",
	} {
		t.Run(mode, func(t *testing.T) {
			deadline := time.Minute // long, so that a busy machine decides nothing
			if mode == "hangs" {
				deadline = 2 * time.Second
			}
			p := openChild(t, mode, deadline)
			doors, _ := p.Controllers(2, 0.01)
			var kept sim.Store
			var in sim.Inputs
			var out sim.Outputs
			doors[1].PowerOn(&kept)
			for round := range 2 {
				doors[0].PowerOn(&kept)
				for range 5 {
					doors[0].Tick(&in, &out)
				}
				why := doors[0].(sim.Faller).Silent()
				if (out != sim.Outputs{}) || !strings.Contains(why, says) {
					t.Fatalf("round %d: %+v, silent %q; expected outputs off and %q", round, out, why, says)
				}
				if _, pid, found := strings.Cut(why, "child "); found {
					gone(t, pid)
				}
			}
			doors[1].Tick(&in, &out)
			if out.Duty != 1 || doors[1].(sim.Faller).Silent() != "" {
				t.Errorf("the neighbour: %+v, silent %q", out, doors[1].(sim.Faller).Silent())
			}
			p.Close()
			if len(p.open) > 0 {
				t.Errorf("%d processes are left behind", len(p.open))
			}
		})
	}
}

// gone waits until a process is no more, or only waits to be buried.
func gone(t *testing.T, pid string) {
	t.Helper()
	if runtime.GOOS != "linux" {
		return
	}
	for range 100 {
		state, err := os.ReadFile("/proc/" + strings.TrimSpace(pid) + "/stat")
		if _, after, _ := strings.Cut(string(state), ") "); err != nil || strings.HasPrefix(after, "Z") {
			return
		}
		time.Sleep(10 * time.Millisecond)
	}
	t.Errorf("process %s is left behind", pid)
}

func TestRefusedPrograms(t *testing.T) {
	for mode, says := range map[string]string{
		"version": "version 9 of bench_io.h, expected version 1",
		"text":    "is it built with bench_io.h?",
		"mute":    "it does not say its layout: it gave no answer within 200ms",
	} {
		t.Setenv(childMode, mode)
		deadline := time.Minute
		if mode == "mute" {
			deadline = 200 * time.Millisecond
		}
		p, err := OpenProgram("child", []string{os.Args[0]}, deadline)
		if err == nil {
			p.Close()
		}
		if err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%s: %v; expected %q", mode, err, says)
		}
	}
	if _, err := OpenProgram("none", []string{t.TempDir() + "/none"}, time.Second); err == nil {
		t.Error("a program that is not there was opened")
	}
}

// BenchmarkProgramTick is one exchange of frames.
func BenchmarkProgramTick(b *testing.B) {
	b.Setenv(childMode, "good")
	p, err := OpenProgram("child", []string{os.Args[0]}, 10*time.Second)
	if err != nil {
		b.Fatal(err)
	}
	defer p.Close()
	doors, _ := p.Controllers(1, 0.01)
	var kept sim.Store
	doors[0].PowerOn(&kept)
	var in sim.Inputs
	var out sim.Outputs
	b.ReportAllocs()
	for b.Loop() {
		doors[0].Tick(&in, &out)
	}
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "ticks/s")
}
