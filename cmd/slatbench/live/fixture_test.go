package live

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"maps"
	"os"
	"strings"
	"testing"

	"slatbench/sim/wholefile"
)

var update = flag.Bool("update", false, "record the fixture again")

// fixtureFile is a recorded session, for work on the page without a server: an array of
// messages. C1 is opened, closes onto an obstruction and turns.
const fixtureFile = "testdata/opening.json"

// wireless is a session without a wire: messages are kept as they would be sent.
type wireless struct {
	*session
	sent [][]byte
}

func newWireless(t *testing.T, w Wanted) *wireless {
	t.Helper()
	s := &wireless{session: newSession(shelfOf(t, w))}
	s.send = func(m any) {
		data, err := json.Marshal(m)
		if err != nil {
			t.Fatal(err)
		}
		s.sent = append(s.sent, data)
	}
	s.frame = func(f *frame) bool {
		s.sent = append(s.sent, f.appendTo(nil))
		return true
	}
	s.gone = func() bool { return false }
	t.Cleanup(s.close)
	return s
}

// playFor lets the clock pass for some seconds.
func (s *wireless) playFor(seconds float64) {
	for range int(seconds * FramesPerSecond) {
		s.pass(1.0 / FramesPerSecond)
	}
}

// ask is a request that must be carried out.
func (s *wireless) ask(t *testing.T, q Request) {
	t.Helper()
	if err := s.do(&q); err != nil {
		t.Fatalf("%s: %v", q.Do, err)
	}
}

func recordOpening(t *testing.T) [][]byte {
	s := newWireless(t, Wanted{})
	s.send(s.shelf.welcome("development", ""))
	s.ask(t, Request{Do: DoOpen})
	s.playFor(0.5)
	s.ask(t, Request{Do: DoPress, Bay: "C1"})
	s.playFor(6.5)
	s.ask(t, Request{Do: DoObstruction, Bay: "C1", On: true})
	s.ask(t, Request{Do: DoPress, Bay: "C1"})
	s.playFor(8)
	return s.sent
}

// TestFixture: the recorded session still has the messages that a page would be sent, with
// the same keys and columns. With -update it is recorded again.
func TestFixture(t *testing.T) {
	sent := recordOpening(t)
	if *update {
		var text bytes.Buffer
		text.WriteString("[\n")
		text.Write(bytes.Join(sent, []byte(",\n")))
		text.WriteString("\n]\n")
		f, err := wholefile.Create(fixtureFile)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Discard()
		if _, err := f.Write(text.Bytes()); err != nil {
			t.Fatal(err)
		}
		if err := f.Commit(); err != nil {
			t.Fatal(err)
		}
	}
	data, err := os.ReadFile(fixtureFile)
	if err != nil {
		t.Fatal(err)
	}
	var kept []json.RawMessage
	if err := json.Unmarshal(data, &kept); err != nil {
		t.Fatal(err)
	}
	recorded := make([][]byte, len(kept))
	for i := range kept {
		recorded[i] = kept[i]
	}
	if got, want := shapes(t, recorded), shapes(t, sent); !maps.EqualFunc(got, want, maps.Equal) {
		t.Errorf("messages are recorded as\n%v\nand sent as\n%v\n-update records them again", got, want)
	}
}

// shapes are the keys that each kind of message has, and the columns that it names.
func shapes(t *testing.T, messages [][]byte) map[string]map[string]bool {
	t.Helper()
	all := map[string]map[string]bool{}
	for _, data := range messages {
		var m map[string]any
		if err := json.Unmarshal(data, &m); err != nil {
			t.Fatal(err)
		}
		kind := m["is"].(string)
		if all[kind] == nil {
			all[kind] = map[string]bool{}
		}
		for key, value := range m {
			all[kind][key] = true
			if list, ok := value.([]any); ok && strings.HasSuffix(key, "_columns") {
				all[kind][fmt.Sprint(key, list)] = true
			}
		}
	}
	return all
}
