package live

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
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
	s.send(s.shelf.welcome("development"))
	s.ask(t, Request{Do: DoOpen})
	s.playFor(0.5)
	s.ask(t, Request{Do: DoPress, Bay: "C1"})
	s.playFor(6.5)
	s.ask(t, Request{Do: DoObstruction, Bay: "C1", On: true})
	s.ask(t, Request{Do: DoPress, Bay: "C1"})
	s.playFor(8)
	return s.sent
}

// TestFixture: the recorded session still is what a page would be sent, as far as it
// concerns the truck. With -update it is recorded again.
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
	if len(kept) != len(sent) {
		t.Fatalf("%d messages are recorded, and %d are sent: -update", len(kept), len(sent))
	}
	for i := 1; i < len(kept); i++ { // the first lists what ships
		if !bytes.Equal(kept[i], sent[i]) {
			t.Fatalf("message %d is recorded as\n%.300s\nand sent as\n%.300s\n-update records it again", i, kept[i], sent[i])
		}
	}
}
