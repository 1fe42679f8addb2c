package live

import (
	"bytes"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"slatbench/sim/trace"
)

func lastSaved(t *testing.T, s *wireless) Saved {
	t.Helper()
	list := got[Saved](t, s, IsSaved)
	if len(list) == 0 {
		t.Fatal("nothing was saved")
	}
	return list[len(list)-1]
}

// TestRewoundRunReplays: the trace from the rewind on is that of the saved file.
func TestRewoundRunReplays(t *testing.T) {
	src := opened(t, Request{Name: "demo/missed-pulses-drift.yaml"})
	first, _, _ := watched(t, src)
	for range 1500 {
		if err := first.advance(); err != nil {
			t.Fatal(err)
		}
		if first.bench.Now == 9000 {
			_ = first.act(&Request{Do: DoFault, Kind: "leaning-cargo", Place: "C1", On: true})
			_ = first.act(&Request{Do: DoPress, Bay: "C2", Hold: true})
		}
		if first.bench.Now == 9700 {
			_ = first.act(&Request{Do: DoLetGo, What: "press", Bay: "C2"})
		}
	}
	second, err := first.rewound(12_000, func() bool { return false })
	if err != nil {
		t.Fatal(err)
	}
	for range 500 {
		if err := second.advance(); err != nil {
			t.Fatal(err)
		}
	}
	now := second.watch.look(second.bench, nil)
	var text bytes.Buffer
	recorder := trace.New(&text, trace.CSV, about)
	third, err := newRig(src, second.until(second.bench.Now), recorder)
	if err != nil {
		t.Fatal(err)
	}
	for third.bench.Now < second.bench.Now {
		third.bench.Advance()
	}
	if err := recorder.Close(); err != nil {
		t.Fatal(err)
	}
	if again := third.watch.look(third.bench, nil); !slices.Equal(again, now) {
		t.Errorf("played again it is\n%v and was\n%v", again, now)
	}
	if got := replayed(t, saved(t, second), src.under.Logic); !bytes.Equal(got, text.Bytes()) {
		t.Errorf("the saved run is another one: %s", firstDifference(text.Bytes(), got))
	}
}

// TestDroppedFiles: a scenario's text is opened; a bad one leaves the truck where it was and
// says where it is wrong; none reaches files that do not ship.
func TestDroppedFiles(t *testing.T) {
	s := newWireless(t, Wanted{})
	s.ask(t, Request{Do: DoOpen, File: "mine.yaml", Text: "scenario: Mine\ntruck: trucks/produce-4bay.yaml\nduration: 5 s\nsteps: [{at: 1 s, press: C2}]\n"})
	s.playFor(6)
	if h := s.rig.bench.Truck.Bays[1].Height; h < 0.5 {
		t.Errorf("C2 stands at %g m", h)
	}
	rig := s.rig
	for text, want := range map[string]string{
		"scenario: x\ntruck: trucks/produce-4bay.yaml\nduration: 5 s\nsteps: [{at: 1 s, pres: C2}]\n": "mine.yaml:4:",
		"scenario: x\ntruck: /etc/passwd\nduration: 5 s\n":                                            "no file",
		"scenario: x\ntruck: ../../../../scenarios/trucks/produce-4bay.yaml\nduration: 5 s\n":         "no file",
		"scenario: x\ntruck: trucks/produce-4bay.yaml\nlogic: testdata/opening.json\nduration: 5 s\n": "no file",
		"from: testdata/opening.json\n": "no file",
		"standard test: x\n":            "standard file",
		"{":                             "mine.yaml:1",
		"":                              "mine.yaml",
		"scenario: x\ntruck: trucks/produce-4bay.yaml\nduration: 5 s\n" + strings.Repeat("# \n", 400_000): "mine.yaml",
	} {
		err := s.do(&Request{Do: DoOpen, File: "/somewhere/mine.yaml", Text: text})
		if err == nil || !strings.Contains(errorMessage(err).Message, want) || strings.Contains(errorMessage(err).Message, "somewhere") {
			t.Errorf("%.60q: %v, expected %q", text, err, want)
		}
	}
	if s.rig != rig {
		t.Error("a file that cannot be opened has taken the truck away")
	}
	for _, name := range []string{"testdata/opening.json", "../rig.go", "trucks/produce-4bay.yaml", "morning"} {
		if err := s.do(&Request{Do: DoOpen, Name: name}); err == nil {
			t.Errorf("%s was opened", name)
		}
	}
}

// TestDroppedFilesRunNothing: a dropped text cannot start a program, whatever it names.
func TestDroppedFilesRunNothing(t *testing.T) {
	folder := t.TempDir()
	program, mark := filepath.Join(folder, "program"), filepath.Join(folder, "was-here")
	if err := os.WriteFile(program, []byte("#!/bin/sh\ntouch "+mark+"\n"), 0o700); err != nil {
		t.Fatal(err)
	}
	s := newWireless(t, Wanted{})
	err := s.do(&Request{Do: DoOpen, Text: "scenario: x\ntruck: trucks/produce-4bay.yaml\nduration: 5 s\nlogic: " + program + "\n"})
	if err == nil || !strings.Contains(err.Error(), "no file") {
		t.Errorf("opened with %v", err)
	}
	if _, err := os.Stat(mark); err == nil {
		t.Error("the program was run")
	}
}

// TestSavedOpensAgain: a saved run is dropped on the page, plays by itself, and is saved
// again as what it was.
func TestSavedOpensAgain(t *testing.T) {
	s := newWireless(t, Wanted{})
	s.ask(t, Request{Do: DoOpen, Name: "demo/two-doors.yaml"})
	if err := s.do(&Request{Do: DoSave}); err == nil {
		t.Error("a run of no length was saved")
	}
	s.playFor(3)
	s.ask(t, Request{Do: DoPress, Bay: "R2", Aim: number(7), Distance: number(2.5)})
	s.playFor(9)
	s.ask(t, Request{Do: DoSave, Title: "Tuesday's lesson: two doors # and a third"})
	first := lastSaved(t, s)
	if first.File != "tuesday-s-lesson-two-doors-and-a-third-as-operated.yaml" || first.Command != "slatbench run "+first.File {
		t.Errorf("%q, %q", first.File, first.Command)
	}
	want := s.rig.watch.look(s.rig.bench, nil)
	s.ask(t, Request{Do: DoOpen, File: first.File, Text: first.Text})
	s.ask(t, Request{Do: DoSpeed, Factor: 10})
	s.playFor(3)
	if now := s.rig.watch.look(s.rig.bench, nil); !slices.Equal(now, want) {
		t.Errorf("opened again it comes to\n%v and was\n%v", now, want)
	}
	s.ask(t, Request{Do: DoSave, Title: "again"})
	lines := func(text string) []string {
		return slices.DeleteFunc(strings.Split(text, "\n"), func(l string) bool {
			return strings.HasPrefix(l, "scenario:") || strings.HasPrefix(l, "#")
		})
	}
	if a, b := lines(first.Text), lines(lastSaved(t, s).Text); !slices.Equal(a, b) {
		t.Errorf("saved again it is\n%s\nand was\n%s", strings.Join(b, "\n"), strings.Join(a, "\n"))
	}
}

// TestSavedOverAFileOfOnesOwn: what was done to a scenario with a truck of one's own, both on
// disk, is saved over it, and replays from any folder.
func TestSavedOverAFileOfOnesOwn(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "my trucks: # 1")
	if err := os.Mkdir(folder, 0o700); err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string]string{
		"truck.yaml":    "from: trucks/produce-4bay.yaml\ntruck: Mine\neach bay:\n  curtain: {mass: 35 kg}\n  closing spring: {rate: 20 N/m}\n",
		"scenario.yaml": "scenario: Mine\ntruck: truck.yaml\nambient: {grade: 2 %}\nduration: 3 s\nhealed at: 2 s\nsteps: [{at: 1 s, press: C1}]\nexpect: [{by: 3 s, bay: C1, is: moving}]\n",
	} {
		if err := os.WriteFile(filepath.Join(folder, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	shelf := shelfOf(t, Wanted{Scenario: filepath.Join(folder, "scenario.yaml")})
	src, err := shelf.first()
	if err != nil {
		t.Fatal(err)
	}
	r, live, recorder := watched(t, src)
	defer r.close()
	for range 1200 {
		if r.bench.Now == 6000 {
			if err := r.act(&Request{Do: DoPress, Bay: "R2", Hold: true}); err != nil {
				t.Fatal(err)
			}
		}
		if err := r.advance(); err != nil {
			t.Fatal(err)
		}
	}
	if err := recorder.Close(); err != nil {
		t.Fatal(err)
	}
	text := saved(t, r)
	if got := replayed(t, text, src.under.Logic); !bytes.Equal(got, live.Bytes()) {
		t.Errorf("the saved run is another one: %s\n%s", firstDifference(live.Bytes(), got), text)
	}
	if !strings.Contains(text, "healed at: 2 s") || strings.Contains(text, "moving") {
		t.Errorf("saved as\n%s", text)
	}
}
