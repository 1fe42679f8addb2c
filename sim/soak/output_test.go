package soak_test

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"encoding/xml"
	"errors"
	"io"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"slatbench/sim/soak"
)

// worn is a short soak with all that an output may have to show: misfits,
// retrainings, a cycle that fails and times that are missing.
func worn(t *testing.T) *soak.Result {
	t.Helper()
	c := soak.Default()
	c.Cycles, c.Retrain, c.GiveUp = 30, true, 4
	c.Encoder.Slip = 2.0 / 360
	c.Charge = 0.03
	c.Route.OpenFor = 13 * 60
	return play(t, oneBay(), c)
}

var heading = soak.Heading{Title: `Round <b> & "co"`, Truck: "a truck", Logic: "baseline", Replay: "slatbench soak --seed 1"}

func TestTableFits(t *testing.T) {
	var b bytes.Buffer
	r := worn(t)
	if err := r.WriteTable(&b, heading); err != nil {
		t.Fatal(err)
	}
	for _, line := range strings.Split(b.String(), "\n") {
		if n := utf8.RuneCountInString(line); n > 80 {
			t.Errorf("%d columns: %s", n, line)
		}
	}
	for _, want := range []string{"retrained", "the taught travel no longer fits", "maims", "neither a certification"} {
		if !strings.Contains(strings.Join(strings.Fields(b.String()), " "), want) {
			t.Errorf("no %q in\n%s", want, b.String())
		}
	}
	if !regexp.MustCompile(`(?m)  not (open|down)$`).MatchString(b.String()) {
		t.Errorf("no cycle that failed in\n%s", b.String())
	}
}

func TestCSVAndJSONSayTheSame(t *testing.T) {
	r := worn(t)
	var table, object bytes.Buffer
	if err := errors.Join(r.WriteCSV(&table), r.WriteJSON(&object, heading)); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&table).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var got struct {
		Played     int `json:"cycles_played"`
		Milestones []struct {
			ID    string
			Cycle *int
		}
		Cycles []map[string]any
	}
	d := json.NewDecoder(&object)
	d.UseNumber()
	if err := d.Decode(&got); err != nil {
		t.Fatal(err)
	}
	if len(rows)-1 != got.Played || got.Played != len(r.Cycles) || len(got.Cycles) != got.Played {
		t.Fatalf("%d lines, %d cycles played, %d in JSON", len(rows)-1, got.Played, len(got.Cycles))
	}
	nulls := 0
	for i, c := range got.Cycles {
		for j, name := range rows[0][:len(rows[0])-2] {
			want := rows[i+1][j]
			switch v := c[name].(type) {
			case nil:
				nulls++
				if want != "" {
					t.Errorf("cycle %d %s: null, CSV has %q", i+1, name, want)
				}
			case json.Number:
				if v.String() != want {
					t.Errorf("cycle %d %s: %s, CSV has %q", i+1, name, v, want)
				}
			default:
				t.Errorf("cycle %d %s: %v", i+1, name, v)
			}
		}
	}
	if nulls == 0 {
		t.Error("a soak with cycles that failed has no null in it")
	}
	for _, m := range got.Milestones {
		if (m.Cycle == nil) != (milestone(t, r, m.ID).Cycle == 0) {
			t.Errorf("%s: %v in JSON, %d in the result", m.ID, m.Cycle, milestone(t, r, m.ID).Cycle)
		}
	}
}

// The page needs nothing from elsewhere, its drawings are well formed and hold no NaN.
func TestPage(t *testing.T) {
	var b bytes.Buffer
	if err := worn(t).WritePage(&b, heading); err != nil {
		t.Fatal(err)
	}
	text := b.String()
	for _, bad := range []string{"<script", "http://", "https://", "NaN", "Inf", "<b> &", "ZgotmplZ", "%!"} {
		if strings.Contains(text, bad) {
			t.Errorf("%q in the page", bad)
		}
	}
	for _, want := range []string{"Round &lt;b&gt; &amp;", "Supply at the controller", "class=\"mark\"", "maims", "@media print", "slatbench soak --seed 1"} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in the page", want)
		}
	}
	plots := regexp.MustCompile(`(?s)<svg.*?</svg>`).FindAllString(text, -1)
	if len(plots) != 9 {
		t.Errorf("%d plots, want 9", len(plots))
	}
	for _, p := range plots {
		for d := xml.NewDecoder(strings.NewReader(p)); ; {
			if _, err := d.Token(); err == io.EOF {
				break
			} else if err != nil {
				t.Fatalf("%v in %.200s", err, p)
			}
		}
	}
}

// An output that cannot be written is an error, whatever is written.
func TestFullDisk(t *testing.T) {
	r := worn(t)
	for name, write := range map[string]func(io.Writer) error{
		"csv":   r.WriteCSV,
		"json":  func(w io.Writer) error { return r.WriteJSON(w, heading) },
		"table": func(w io.Writer) error { return r.WriteTable(w, heading) },
		"page":  func(w io.Writer) error { return r.WritePage(w, heading) },
	} {
		if err := write(full{}); err == nil {
			t.Errorf("%s: no error from a full disk", name)
		}
	}
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("no space left") }
