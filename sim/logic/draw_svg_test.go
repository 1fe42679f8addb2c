package logic_test

import (
	"encoding/xml"
	"errors"
	"io"
	"os"
	"slices"
	"strings"
	"testing"

	"slatbench/sim/logic"
)

// overlaid is the shipped table with something of each kind of change.
func overlaid(t *testing.T) *logic.Drawing {
	t.Helper()
	table := baseline(t)
	d := &table.Door
	for i := range d.States {
		switch s := &d.States[i]; s.Name {
		case "between":
			s.Name = "halfway"
		case "pausing":
			s.Lamp = "flash"
		}
	}
	d.States = append(d.States, logic.State{Name: "looking <&>", Lamp: "on"})
	kept := d.Transitions[:0]
	for _, tr := range d.Transitions {
		tr.From = slices.Clone(tr.From)
		for k, from := range tr.From {
			if from == "between" {
				tr.From[k] = "halfway"
			}
		}
		if tr.To == "between" {
			tr.To = "halfway"
		}
		switch {
		case tr.On == "slowed" && tr.From[0] == "closing":
			continue
		case tr.On == "paused" && tr.To == "rising":
			tr.To = "looking <&>"
		}
		kept = append(kept, tr)
	}
	d.Transitions = append(kept, logic.Transition{From: []string{"looking <&>"}, On: "paused", To: "rising"})
	if p := table.Check(); p != nil {
		t.Fatal(p)
	}
	return &logic.Drawing{Table: table, Base: baseline(t), DoorRenamed: map[string]string{"halfway": "between"}, Notes: []string{"pause: 300 ms, now 500 ms"}}
}

// pictureTexts are the texts of a picture, each with its class; the picture must be
// well-formed and need nothing from elsewhere.
func pictureTexts(t *testing.T, svg string) (texts []string) {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(svg))
	class, text, depth := "", "", 0
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return texts
		}
		if err != nil {
			t.Fatal(err)
		}
		switch e := token.(type) {
		case xml.StartElement:
			if e.Name.Local == "text" {
				depth, text = 1, ""
			}
			for _, a := range e.Attr {
				if a.Name.Local == "class" && depth > 0 {
					class = a.Value
				}
				if a.Name.Local == "href" || a.Name.Local == "src" {
					t.Errorf("the picture needs %s", a.Value)
				}
			}
		case xml.CharData:
			if depth > 0 {
				text += string(e)
			}
		case xml.EndElement:
			if e.Name.Local == "text" {
				texts = append(texts, class+"|"+text)
				depth, class = 0, ""
			}
		}
	}
}

// Every state, and every answer with its guards and what it does, is in the picture.
func TestPictureIsWhole(t *testing.T) {
	d := &logic.Drawing{Table: baseline(t)}
	svg := d.SVG("")
	if again := (&logic.Drawing{Table: baseline(t)}).SVG(""); again != svg {
		t.Error("the same table gives two pictures")
	}
	all := strings.Join(pictureTexts(t, svg), "\n")
	for _, m := range []*logic.Machine{&d.Table.Door, &d.Table.Lock} {
		for _, s := range m.States {
			for _, word := range strings.Fields(s.Name) {
				if !strings.Contains(all, word) {
					t.Errorf("no state %s", s.Name)
				}
			}
		}
		for _, tr := range m.Transitions {
			if tr.Alarm != "" && !strings.Contains(all, "alarm "+tr.Alarm) {
				t.Errorf("no alarm %s", tr.Alarm)
			}
		}
	}
	for _, want := range []string{"|rising, clearing: stall [not near top, not lifting] → between, alarm stalled-opening", "|failed: lock asked [doors down, at locked] → stay, do flash"} {
		if !strings.Contains(all, want) {
			t.Errorf("no line %q in the legend", want)
		}
	}
}

// No box and no words lie over others, nothing reaches into the next column's arrows,
// and every answer of every state is named by one exit.
func TestPictureIsLegible(t *testing.T) {
	for _, d := range []*logic.Drawing{{Table: baseline(t)}, overlaid(t)} {
		for _, machine := range []string{"door", "lock"} {
			blocks, answers := d.Blocks(machine)
			counts := d.Counts(machine)
			want := 0
			for _, n := range counts.Answers {
				want += n
			}
			if answers != want {
				t.Errorf("%s: exits name %d answers of %d", machine, answers, want)
			}
			column := map[float64]bool{}
			for i, a := range blocks {
				if !strings.Contains(a.What, " exit ") {
					column[a.X] = true
				}
				for _, b := range blocks[:i] {
					if a.X < b.X+b.W && b.X < a.X+a.W && a.Y < b.Y+b.H-0.01 && b.Y < a.Y+a.H-0.01 {
						t.Errorf("%s: %s lies over %s", machine, a.What, b.What)
					}
				}
			}
			for _, a := range blocks {
				for x := range column {
					if a.X > x && a.X < x+logic.ExitRoom && a.X+a.W > x+logic.ExitRoom {
						t.Errorf("%s: %s is too wide", machine, a.What)
					}
				}
			}
		}
	}
}

// What an overlay changes is marked, by sign as well as by class, and nothing else is.
func TestPictureMarksChanges(t *testing.T) {
	d := overlaid(t)
	door, lock := d.Counts("door"), d.Counts("lock")
	if door.Renamed != 1 || door.States != [4]int{logic.Kept: 17, logic.Added: 1, logic.Changed: 1} ||
		door.Answers[logic.Added] != 1 || door.Answers[logic.Dropped] != 1 || door.Answers[logic.Changed] != 1 {
		t.Errorf("door %+v", door)
	}
	if lock.Answers[logic.Added]+lock.Answers[logic.Dropped]+lock.Answers[logic.Changed]+lock.Renamed != 0 {
		t.Errorf("lock %+v", lock)
	}
	all := strings.Join(pictureTexts(t, d.SVG("door")), "\n")
	for _, want := range []string{
		"name added|+ looking", "name changed|≠ pausing", "faint|was: lamp on", "faint|(was between)",
		"added|looking <&>: paused → rising", "dropped|closing: slowed → pausing, alarm obstruction-closing",
		"changed|pausing: paused [not past zero] → looking <&> (was → rising)", "num dropped|− a", "changed|≠ pause: 300 ms, now 500 ms",
	} {
		if !strings.Contains(all, want) {
			t.Errorf("no %q", want)
		}
	}
	if plain := (&logic.Drawing{Table: baseline(t)}).SVG(""); strings.Contains(plain, `class="changed"`) || strings.Contains(plain, "≠") {
		t.Error("a table without a base has marks")
	}
}

// The Mermaid text of an overlay has the same marks, and is that of the table but for them.
func TestMermaidMarksChanges(t *testing.T) {
	d := overlaid(t)
	text := d.Mermaid("door")
	for _, want := range []string{" : ≠ paused [not past zero]\n", " : + paused\n", "%% − closing  slowed → pausing", "%% + state looking (&)", "%% ≠ state pausing, had lamp on", "%% state halfway, was called between"} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in\n%s", want, text)
		}
	}
	if (&logic.Drawing{Table: d.Table}).Mermaid("door") != d.Table.Door.Mermaid() || logic.Markdown(&logic.Drawing{Table: d.Table}) != logic.Mermaid(d.Table) {
		t.Error("without a base the drawing is not that of the table")
	}
	readDrawing(t, strings.Split(text, "    %%")[0])
}

// The picture in the guide is that of the shipped table.
func TestGuidePicture(t *testing.T) {
	const name = "../../docs/logic.svg"
	want := (&logic.Drawing{Table: baseline(t)}).SVG("")
	got, err := os.ReadFile(name)
	if err == nil && string(got) == want {
		return
	}
	if !*update {
		t.Fatalf("%s is out of date: go test ./sim/logic -run Guide -update", name)
	}
	if err := os.WriteFile(name, []byte(want), 0o644); err != nil {
		t.Fatal(err)
	}
}
