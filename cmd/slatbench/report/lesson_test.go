package report

import (
	"bytes"
	"encoding/xml"
	"io"
	"strings"
	"testing"

	"slatbench/scenarios"
)

func handoutOf(t *testing.T, name string) (*Handout, string) {
	t.Helper()
	l := &scenarios.Loader{Shipped: scenarios.Shipped()}
	ls, err := l.LoadLesson("shipped:" + name)
	if err != nil {
		t.Fatal(err)
	}
	table, err := l.LoadLogicOfLesson(ls)
	if err != nil {
		t.Fatal(err)
	}
	h, err := PlayHandout(ls, table)
	if err != nil {
		t.Fatal(err)
	}
	h.Version = "test"
	var out bytes.Buffer
	if err := h.Write(&out); err != nil {
		t.Fatal(err)
	}
	return h, out.String()
}

// What a learner gets to see before the key gives nothing of it away, and the key
// has all of it.
func TestHandoutKeepsItsKeyForTheEnd(t *testing.T) {
	for _, name := range scenarios.ShippedNames(scenarios.LessonKind) {
		h, page := handoutOf(t, name)
		ls := h.lesson
		front, key, ok := strings.Cut(page, `<section class="key">`)
		if !ok {
			t.Fatalf("%s: no key", name)
		}
		secret := func(text string) {
			text = strings.ReplaceAll(scenarios.Paragraphs(text), "'", "&#39;")
			text, _, _ = strings.Cut(strings.ReplaceAll(text, `"`, "&#34;"), "\n")
			text = strings.ReplaceAll(text, "+", "&#43;")
			if text == "" {
				return
			}
			if strings.Contains(front, text) {
				t.Errorf("%s: before the key stands %q", name, text)
			}
			if !strings.Contains(key, text) {
				t.Errorf("%s: not in the key: %q", name, text)
			}
		}
		for i := range ls.Steps {
			s := &ls.Steps[i]
			secret(s.Then)
			if s.Ask != nil {
				for k := range s.Ask.Choices {
					secret(s.Ask.Choices[k].Because)
				}
			}
		}
		secret(ls.Proof.Passed)
		for i := range ls.Faults {
			kind := ls.Faults[i].Kind.Name
			if strings.Contains(front, kind) {
				t.Errorf("%s: the fault %s is told before the key", name, kind)
			}
			if !strings.Contains(key, kind) {
				t.Errorf("%s: the key does not tell of %s", name, kind)
			}
		}
		if strings.Count(front, `<svg class="plot"`) != 1 || strings.Count(key, `<svg class="plot"`) != 2 {
			t.Errorf("%s: %d plots before the key and %d in it", name, strings.Count(front, `<svg class="plot"`), strings.Count(key, `<svg class="plot"`))
		}
	}
}

// The page stands alone, is well formed, carries the cautions, and is the same twice.
func TestHandoutStandsAlone(t *testing.T) {
	_, page := handoutOf(t, "lessons/retraining.yaml")
	_, again := handoutOf(t, "lessons/retraining.yaml")
	if page != again {
		t.Error("two handouts of one lesson differ")
	}
	for _, fetched := range []string{"http:", "https:", "<script", "@import", "url(//"} {
		if strings.Contains(page, fetched) {
			t.Errorf("the page has %q", fetched)
		}
	}
	for _, c := range cautions {
		if !strings.Contains(page, c) {
			t.Errorf("no caution: %s", c)
		}
	}
	body := page[strings.Index(page, "<body>") : strings.Index(page, "</body>")+len("</body>")]
	d := xml.NewDecoder(strings.NewReader(body))
	for {
		if _, err := d.Token(); err == io.EOF {
			break
		} else if err != nil {
			t.Fatal(err)
		}
	}
}

// The plots are those of the run: the true and the counted height part by what the
// lesson says, and the part before the key ends where something is to be found.
func TestHandoutShowsTheRun(t *testing.T) {
	h, _ := handoutOf(t, "lessons/retraining.yaml")
	bay := 0
	_, counted := h.symptom.env.Range(h.symptom.channel(bay, chCounted))
	_, height := h.symptom.env.Range(h.symptom.channel(bay, chHeight))
	if counted-height < 0.08 {
		t.Errorf("counted height reaches %.3f m, the true one %.3f m", counted, height)
	}
	if end := float64(h.symptom.end) * h.symptom.step; end < 10 || end > h.symptomEnds()+0.1 {
		t.Errorf("the first plot ends at %.2f s, something is to be found from %.2f s", end, h.symptomEnds())
	}
	if h.whole.end <= h.symptom.end {
		t.Error("the whole run is no longer than its beginning")
	}
}
